#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "plumbstack/stack.hpp"

namespace plumbstack {
namespace {

// The part of the photo that holds these places and what is averaged into them, where that is a
// small patch: halving a whole photo for each of a hundred patches costs seconds. It begins at a
// multiple of twice the averaged squares, so that halving it falls into step with halving the
// photo.
cv::Rect needed_part(const cv::Mat_<cv::Vec2d>& places, cv::Size photo, int halvings) {
  const cv::Rect whole({}, photo);
  cv::Point2d low(1e9, 1e9), high(-1e9, -1e9);
  for (const cv::Vec2d& p : places) {
    low = {std::min(low.x, p[0]), std::min(low.y, p[1])};
    high = {std::max(high.x, p[0]), std::max(high.y, p[1])};
  }
  const double margin = 3.0 * (1 << halvings), step = 2.0 * (1 << halvings);
  const auto begin = [&](double at, int end) {
    return static_cast<int>(std::floor(std::clamp(at - margin, 0.0, double(end)) / step) * step);
  };
  const auto finish = [&](double at, int end) {
    return static_cast<int>(std::ceil(std::clamp(at + margin, 0.0, double(end))));
  };
  const cv::Rect part(cv::Point(begin(low.x, photo.width), begin(low.y, photo.height)),
                      cv::Point(finish(high.x, photo.width), finish(high.y, photo.height)));
  return 8.0 * part.area() > whole.area() ? whole : part & whole;
}

}  // namespace

cv::Point2d PlaneView::to_photo(cv::Point2d stack_mm) const {
  const cv::Point2d d = map_point(photo_from_stack, stack_mm) - centre;
  return centre + d * (1 + k1 * d.dot(d) / (half_diagonal * half_diagonal));
}

cv::Point2d PlaneView::to_stack(cv::Point2d photo_px) const {
  const cv::Point2d seen = photo_px - centre;
  cv::Point2d d = seen;
  for (int i = 0; i < 8; ++i) d = seen / (1 + k1 * d.dot(d) / (half_diagonal * half_diagonal));
  return map_point(photo_from_stack.inv(), centre + d);
}

cv::Point2d PlaneView::px_per_mm(cv::Point2d s) const {
  return {cv::norm(to_photo(s + cv::Point2d(0.5, 0)) - to_photo(s - cv::Point2d(0.5, 0))),
          cv::norm(to_photo(s + cv::Point2d(0, 0.5)) - to_photo(s - cv::Point2d(0, 0.5)))};
}

Quad StackFrame::face_in_photo(std::size_t strip) const {
  const StripPlace& s = strips[strip];
  return {view.to_photo({s.left_mm, s.top_mm}), view.to_photo({s.right_mm, s.top_mm}),
          view.to_photo({s.right_mm, s.bottom_mm}), view.to_photo({s.left_mm, s.bottom_mm})};
}

Quad StackFrame::outline_in_photo() const {
  if (strips.empty()) return {};
  const Quad first = face_in_photo(0), last = face_in_photo(strips.size() - 1);
  return {first[0], first[1], last[2], last[3]};
}

cv::Mat rectify(const cv::Mat& photo, const PlaneView& view, const cv::Rect2d& region,
                double px_per_mm) {
  const cv::Size size(std::max(1, static_cast<int>(std::lround(region.width * px_per_mm))),
                      std::max(1, static_cast<int>(std::lround(region.height * px_per_mm))));
  const cv::Point2d scale = view.px_per_mm((region.tl() + region.br()) / 2);
  // A photo finer than the raster is averaged down first, or noise and moire would be sampled.
  int halvings = 0;
  for (double ratio = std::min(scale.x, scale.y) / px_per_mm; ratio > 1.6; ratio /= 2) ++halvings;
  constexpr int kStep = 16;  // the map is smooth: worked out on a grid, stretched between
  cv::Mat_<cv::Vec2d> places(size.height / kStep + 2, size.width / kStep + 2);
  for (int j = 0; j < places.rows; ++j)
    for (int i = 0; i < places.cols; ++i)
      places(j, i) = view.to_photo(region.tl() + cv::Point2d(i, j) * (kStep / px_per_mm));
  const cv::Rect needed = needed_part(places, photo.size(), halvings);
  if (needed.empty()) return cv::Mat(size, photo.type(), cv::Scalar::all(127.5));
  cv::Mat source = photo(needed), coarse(places.size(), CV_32FC2), map, out;
  for (int i = 0; i < halvings; ++i) cv::resize(source, source, {}, 0.5, 0.5, cv::INTER_AREA);
  const double shrink = 1.0 / (1 << halvings);
  for (int j = 0; j < places.rows; ++j)
    for (int i = 0; i < places.cols; ++i) {
      const cv::Vec2d p = places(j, i);
      coarse.at<cv::Vec2f>(j, i) = {static_cast<float>((p[0] - needed.x + 0.5) * shrink - 0.5),
                                    static_cast<float>((p[1] - needed.y + 0.5) * shrink - 0.5)};
    }
  const cv::Matx23d stretch(1.0 / kStep, 0, 0, 0, 1.0 / kStep, 0);
  cv::warpAffine(coarse, map, stretch, size, cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                 cv::BORDER_REPLICATE);
  cv::remap(source, out, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_CONSTANT,
            cv::Scalar::all(127.5));
  return out;
}

}  // namespace plumbstack
