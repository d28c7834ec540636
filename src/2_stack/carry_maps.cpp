#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {

FaceMaps carried(const FaceMaps& maps, const PlaneView& from, const PlaneView& to) {
  FaceMaps out{maps.origin_mm, maps.px_per_mm, {}};
  cv::Mat where(maps.planes.front().size(), CV_32FC2);
  for (int y = 0; y < where.rows; ++y)
    for (int x = 0; x < where.cols; ++x)
      where.at<cv::Vec2f>(y, x) = cv::Point2f(
          maps.pixel_of(from.to_stack(to.to_photo(maps.stack_of({double(x), double(y)})))));
  for (const cv::Mat& plane : maps.planes) {
    cv::Mat moved;
    // Cubic, so that narrow peaks keep their height; it may overshoot.
    cv::remap(plane, moved, where, cv::noArray(), cv::INTER_CUBIC, cv::BORDER_CONSTANT, 0);
    out.planes.push_back(cv::min(cv::max(moved, 0), 1));
  }
  return out;
}

}  // namespace plumbstack
