// Debug pictures: what the finder and the face network saw, and what was fitted to it.
#include <algorithm>
#include <cstdio>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kPictureSide = 1600;  // px, the longer side of a debug picture

const cv::Scalar kBorder(0, 220, 255), kEnd(255, 160, 0), kGuess(0, 0, 255);  // BGR

// Blends a colour in where a plane of 0..1 is high.
void tint(cv::Mat& picture, const cv::Mat& plane, const cv::Scalar& color) {
  for (int y = 0; y < picture.rows; ++y)
    for (int x = 0; x < picture.cols; ++x) {
      const float share = 0.6F * std::clamp(plane.at<float>(y, x), 0.0F, 1.0F);
      cv::Vec3b& pixel = picture.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c)
        pixel[c] =
            cv::saturate_cast<uchar>(float(pixel[c]) * (1 - share) + float(color[c]) * share);
    }
}

// A plane of the maps over the raster of a region.
cv::Mat plane_over(const FaceMaps& maps, FacePlane which, const cv::Rect2d& region,
                   double px_per_mm, cv::Size size) {
  const cv::Point2d first = maps.pixel_of(region.tl());
  const double step = maps.px_per_mm / px_per_mm;
  cv::Mat out;
  cv::warpAffine(maps.plane(which), out, cv::Matx23d(step, 0, first.x, 0, step, first.y), size,
                 cv::INTER_LINEAR | cv::WARP_INVERSE_MAP);
  return out;
}

void draw_strip(cv::Mat& picture, const StripPlace& strip, std::size_t index,
                const cv::Rect2d& region, double px_per_mm) {
  const auto at = [&](double x, double y) {
    return cv::Point(cvRound((x - region.x) * px_per_mm), cvRound((y - region.y) * px_per_mm));
  };
  const cv::Scalar line = strip.in_photo ? kBorder : kGuess;
  for (const double y : {strip.top_mm, strip.bottom_mm})
    cv::line(picture, at(strip.left_mm, y), at(strip.right_mm, y), line);
  for (const double x : {strip.left_mm, strip.right_mm})
    cv::line(picture, at(x, strip.top_mm), at(x, strip.bottom_mm), strip.ends_seen ? kEnd : kGuess,
             2);
  char text[96];
  std::snprintf(text, sizeof text, "%zu  %+.2f (%.2f) mm  gap %.1f  cover %.0f%%", index + 1,
                strip.stagger_mm, strip.stagger_sd_mm, strip.gap_mm.value_or(-1),
                100 * strip.cover);
  cv::putText(picture, text, at(strip.left_mm + 4, (strip.top_mm + strip.bottom_mm) / 2),
              cv::FONT_HERSHEY_PLAIN, 1, cv::Scalar(255, 255, 255), 1, cv::LINE_AA);
}

}  // namespace

cv::Mat draw_finder(const Photo& photo, Nets& nets) {
  double scale = 1;
  cv::Point2d shift;
  cv::Mat seen = letterboxed(photo.pixels, scale, shift).clone();
  const Result<std::vector<cv::Mat>> planes = run_planes(nets.finder, seen);
  if (!planes || planes->empty()) return seen;
  cv::Mat mask;
  cv::resize(planes->front(), mask, seen.size(), 0, 0, cv::INTER_LINEAR);
  tint(seen, mask, {0, 0, 255});
  return seen;
}

cv::Mat draw_fit(const Photo& photo, const FoundStack& found) {
  const std::vector<StripPlace>& strips = found.frame.strips;
  if (strips.empty()) return {};
  constexpr double kMargin = 20;  // mm
  const cv::Point2d first(strips.front().left_mm - kMargin, strips.front().top_mm - kMargin),
      last(strips.back().right_mm + kMargin, strips.back().bottom_mm + kMargin);
  const cv::Rect2d region(first, last);
  const double px_per_mm = kPictureSide / std::max(region.width, region.height);
  cv::Mat picture = rectify(photo.pixels, found.frame.view, region, px_per_mm);
  const auto plane = [&](FacePlane which) {
    return plane_over(found.maps, which, region, px_per_mm, picture.size());
  };
  tint(picture, plane(FacePlane::seam), {0, 0, 255});
  tint(picture, plane(FacePlane::cover), {255, 0, 255});
  tint(picture, plane(FacePlane::left_end), {0, 255, 0});
  tint(picture, plane(FacePlane::right_end), {0, 255, 0});
  for (std::size_t i = 0; i < strips.size(); ++i)
    draw_strip(picture, strips[i], i, region, px_per_mm);
  return picture;
}

}  // namespace plumbstack
