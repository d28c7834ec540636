#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"
#include "plumbstack/base/in_parallel.hpp"

namespace plumbstack {
namespace {

// The part of the photo that a region of the side needs; a copy of the whole would be averaged anew
// for every strip.
cv::Rect needed(const PlaneView& view, const cv::Rect2d& mm, cv::Size photo) {
  double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
  for (int i = 0; i <= 4; ++i)
    for (const double y : {mm.y, mm.y + mm.height}) {
      const cv::Point2d p = view.to_photo({mm.x + mm.width * i / 4, y});
      left = std::min(left, p.x), right = std::max(right, p.x);
      top = std::min(top, p.y), bottom = std::max(bottom, p.y);
    }
  constexpr double kPad = 8;  // px, for the averaging, and for the bend of long edges
  const auto whole = [](double px, int most) {
    return static_cast<int>(std::clamp(px, 0.0, double(most)));
  };
  const cv::Point a(whole(left - kPad, photo.width), whole(top - kPad, photo.height)),
      b(whole(right + kPad, photo.width), whole(bottom + kPad, photo.height));
  return {a, b};
}

PlaneView shifted(PlaneView view, cv::Point by) {
  const cv::Matx33d shift(1, 0, -by.x, 0, 1, -by.y, 0, 0, 1);
  view.photo_from_stack = shift * view.photo_from_stack;
  view.centre -= cv::Point2d(by);
  return view;
}

// What cutting adds to the blur, as a variance in photo px: `rectify` halves a finer photo and then
// samples between the pixels, which on average adds a sixth of a pixel's square.
double cutting_variance(double photo_px_per_cut_px) {
  double step = 1;
  for (double ratio = photo_px_per_cut_px; ratio > 1.6; ratio /= 2) step *= 2;
  return (step * step - 1) / 12 + step * step / 6;
}

// Blur in mm of the edges one way, given the photo's scale that way.
double blur_mm(const cv::Mat& grey, double cut_px_per_mm, double photo_px_per_mm, double added) {
  const double sigma = edge_sigma(grey);
  if (sigma <= 0) return 0;
  const double in_photo = sigma * photo_px_per_mm / cut_px_per_mm;
  constexpr double kSharpest = 0.3;  // px: a pixel is an average over itself
  return std::sqrt(std::max(kSharpest * kSharpest, in_photo * in_photo - added)) / photo_px_per_mm;
}

void measure_blur(const cv::Mat& grey, double cut_px_per_mm, cv::Point2d scale,
                  StripFigures& figures) {
  // Camera shake leaves the edges along its way sharp: the worse of both ways counts.
  const double added = cutting_variance(std::min(scale.x, scale.y) / cut_px_per_mm);
  const double along = blur_mm(grey, cut_px_per_mm, scale.x, added);
  const double across = blur_mm(grey.t(), cut_px_per_mm, scale.y, added);
  figures.blur_mm = std::max(along, across);
  figures.blur_px = std::max(along * scale.x, across * scale.y);
}

StripCut cut_strip(const Photo& photo, const PlaneView& view, const StripPlace& place,
                   const CutStripsOptions& options) {
  StripCut cut;
  const cv::Rect2d face(place.left_mm, place.top_mm, place.right_mm - place.left_mm,
                        place.bottom_mm - place.top_mm);
  const cv::Point2d scale = view.px_per_mm((face.tl() + face.br()) / 2);
  cut.figures.resolution = scale.x;
  cut.px_per_mm = std::min(options.px_per_mm, std::max(scale.x, scale.y));
  const double margin = options.margin_mm;
  cut.origin_mm = face.tl() - cv::Point2d(margin, margin);
  const cv::Rect2d region(cut.origin_mm, face.br() + cv::Point2d(margin, margin));
  const cv::Rect part = needed(view, region, photo.pixels.size());
  if (part.empty() || face.width <= 0 || face.height <= 0) return cut;
  cut.pixels = rectify(photo.pixels(part), shifted(view, part.tl()), region, cut.px_per_mm);
  const int rim = static_cast<int>(std::lround(margin * cut.px_per_mm));
  const cv::Rect inner(rim, rim, cut.pixels.cols - 2 * rim, cut.pixels.rows - 2 * rim);
  if (inner.width < 1 || inner.height < 1) return cut;
  cv::Mat grey;
  cv::cvtColor(cut.pixels, grey, cv::COLOR_BGR2GRAY);
  measure_blur(grey, cut.px_per_mm, scale, cut.figures);
  cut.figures.glare = glare_share(cut.pixels, cut.px_per_mm, margin);
  measure_light(grey(inner), cut.px_per_mm, cut.figures);
  return cut;
}

}  // namespace

std::vector<StripCut> cut_strips(const Photo& photo, const StackFrame& frame,
                                 const CutStripsOptions& options) {
  std::vector<StripCut> cuts(frame.strips.size());
  in_parallel(cuts.size(), [&](std::size_t i) {
    cuts[i] = cut_strip(photo, frame.view, frame.strips[i], options);
  });
  return cuts;
}

}  // namespace plumbstack
