#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kScale = 3;      // px per mm of the patch looked at
constexpr float kCovered = 0.5F;  // of the plane: a red cable is no red ring

// Hues in OpenCV's half degrees. Only strongly coloured pixels count, so that rust (brown, hue near
// 10) and skin of paint on grey plastic are no red.
bool is_color(const cv::Vec3b& hsv, MarkColor color) {
  const int h = hsv[0], s = hsv[1], v = hsv[2];
  switch (color) {
    case MarkColor::red: return (h <= 6 || h >= 172) && s > 140 && v > 45;
    case MarkColor::yellow: return h >= 20 && h <= 34 && s > 130 && v > 80;
    case MarkColor::green: return h >= 40 && h <= 85 && s > 110 && v > 45;
    case MarkColor::blue: return h >= 98 && h <= 130 && s > 120 && v > 45;
    case MarkColor::white: return s < 40 && v > 225;
    case MarkColor::black: return v < 35;
  }
  return false;
}

}  // namespace

Blob largest_blob(const Photo& photo, const PlaneView& view, const FaceMaps& maps,
                  const cv::Rect2d& box, MarkColor color) {
  const cv::Mat patch = rectify(photo.pixels, view, box, kScale);
  if (patch.empty()) return {};
  cv::Mat hsv, cover;
  cv::cvtColor(patch, hsv, cv::COLOR_BGR2HSV);
  const double step = maps.px_per_mm / kScale;
  const cv::Point2d from = maps.pixel_of(box.tl());
  cv::warpAffine(maps.plane(FacePlane::cover), cover, cv::Matx23d(step, 0, from.x, 0, step, from.y),
                 patch.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  cv::Mat shown(hsv.size(), CV_8U), labels, blobs, centres;
  for (int y = 0; y < hsv.rows; ++y)
    for (int x = 0; x < hsv.cols; ++x)
      shown.at<uchar>(y, x) =
          cover.at<float>(y, x) < kCovered && is_color(hsv.at<cv::Vec3b>(y, x), color) ? 255 : 0;
  Blob largest;
  for (int k = cv::connectedComponentsWithStats(shown, labels, blobs, centres) - 1; k > 0; --k) {
    const double mm2 = blobs.at<int>(k, cv::CC_STAT_AREA) / (kScale * kScale);
    if (mm2 > largest.mm2)
      largest = {
          mm2, box.tl() + cv::Point2d(centres.at<double>(k, 0), centres.at<double>(k, 1)) / kScale};
  }
  return largest;
}

}  // namespace plumbstack
