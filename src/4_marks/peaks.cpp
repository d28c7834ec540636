#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

cv::Rect pixels_of(const FaceMaps& maps, const cv::Rect2d& box, const cv::Mat& plane) {
  const cv::Point2d a = maps.pixel_of(box.tl()), b = maps.pixel_of(box.br());
  const cv::Point low(static_cast<int>(std::floor(a.x)), static_cast<int>(std::floor(a.y)));
  const cv::Point high(static_cast<int>(std::ceil(b.x)) + 1, static_cast<int>(std::ceil(b.y)) + 1);
  return cv::Rect(low, high) & cv::Rect({}, plane.size());
}

constexpr int kReach = 3;  // cells; as the calibration's own peaks are sought

bool is_highest(const cv::Mat& plane, int x, int y) {
  const float here = plane.at<float>(y, x);
  for (int v = std::max(0, y - kReach); v <= std::min(plane.rows - 1, y + kReach); ++v)
    for (int u = std::max(0, x - kReach); u <= std::min(plane.cols - 1, x + kReach); ++u)
      if (plane.at<float>(v, u) > here) return false;
  return true;
}

}  // namespace

std::vector<Peak> peaks_in(const FaceMaps& maps, FacePlane which, const cv::Rect2d& box,
                           double floor) {
  const cv::Mat& plane = maps.plane(which);
  const cv::Rect area = pixels_of(maps, box, plane);
  std::vector<Peak> found;
  for (int y = area.y; y < area.br().y; ++y)
    for (int x = area.x; x < area.br().x; ++x)
      if (plane.at<float>(y, x) > floor && is_highest(plane, x, y))
        found.push_back({maps.stack_of(cv::Point2d(x, y)), plane.at<float>(y, x)});
  std::sort(found.begin(), found.end(),
            [](const Peak& a, const Peak& b) { return a.height > b.height; });
  return found;
}

double mean_in(const FaceMaps& maps, FacePlane which, const cv::Rect2d& box) {
  const cv::Mat& plane = maps.plane(which);
  const cv::Rect area = pixels_of(maps, box, plane);
  return area.empty() ? 0 : cv::mean(plane(area))[0];
}

double in_sight(const FaceMaps& maps, cv::Point2d mark_mm) {
  constexpr double kMarkMm = 8;
  return 1 - mean_in(maps, FacePlane::cover,
                     {mark_mm.x - kMarkMm / 2, mark_mm.y - kMarkMm / 2, kMarkMm, kMarkMm});
}

}  // namespace plumbstack
