// The finder says of each cell whether it shows the side and where on the side it lies. Hundreds of
// such cells overdetermine a homography, so what is covered or outside the photo does not matter.
#include <opencv2/calib3d.hpp>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr int kSide = 384, kStride = 4;

cv::Mat largest_component(const cv::Mat& mask) {
  cv::Mat labels, stats, centroids;
  const int n = cv::connectedComponentsWithStats(mask, labels, stats, centroids);
  int best = 0, area = 0;
  for (int i = 1; i < n; ++i)
    if (stats.at<int>(i, cv::CC_STAT_AREA) > area)
      area = stats.at<int>(i, cv::CC_STAT_AREA), best = i;
  return best == 0 ? cv::Mat::zeros(mask.size(), CV_8U) : cv::Mat(labels == best);
}

}  // namespace

cv::Mat letterboxed(const cv::Mat& photo, double& scale, cv::Point2d& shift) {
  scale = std::max(photo.cols, photo.rows) / double(kSide);
  cv::Mat small, out(kSide, kSide, CV_8UC3, cv::Scalar::all(127.5));
  cv::resize(photo, small,
             {static_cast<int>(std::lround(photo.cols / scale)),
              static_cast<int>(std::lround(photo.rows / scale))},
             0, 0, cv::INTER_AREA);
  const cv::Point corner((kSide - small.cols) / 2, (kSide - small.rows) / 2);
  small.copyTo(out(cv::Rect(corner, small.size())));
  shift = {-(corner.x - 0.5) * scale - 0.5, -(corner.y - 0.5) * scale - 0.5};
  return out;
}

std::optional<Coarse> read_coarse(const std::vector<cv::Mat>& planes, const Photo& photo,
                                  cv::Size2d side, double scale, cv::Point2d shift,
                                  const FindStackOptions& options) {
  const cv::Mat mask = largest_component(planes[0] > options.min_confidence);
  const int cells = cv::countNonZero(mask);
  if (cells < options.min_mask_share * double(mask.total()) || cells < 40) return std::nullopt;
  std::vector<cv::Point2f> on_side, in_photo;
  for (int y = 0; y < mask.rows; ++y)
    for (int x = 0; x < mask.cols; ++x) {
      if (!mask.at<uchar>(y, x)) continue;
      on_side.emplace_back(planes[1].at<float>(y, x) * static_cast<float>(side.width),
                           planes[2].at<float>(y, x) * static_cast<float>(side.height));
      const cv::Point2d p =
          cv::Point2d(kStride * x + (kStride - 1) / 2.0, kStride * y + (kStride - 1) / 2.0) *
              scale +
          shift;
      in_photo.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
    }
  cv::Mat inliers;
  const cv::Mat h =
      cv::findHomography(on_side, in_photo, cv::RANSAC, 2.0 * kStride * scale, inliers);
  if (h.empty() || cv::countNonZero(inliers) < cells * 0.3) return std::nullopt;
  Coarse coarse;
  coarse.view.photo_from_stack = cv::Matx33d(reinterpret_cast<const double*>(h.data));
  coarse.view.centre = {(photo.pixels.cols - 1) / 2.0, (photo.pixels.rows - 1) / 2.0};
  coarse.view.half_diagonal = std::hypot(photo.pixels.cols, photo.pixels.rows) / 2;
  coarse.lying = cv::mean(planes[3], mask)[0] > 0.5;
  coarse.confidence = cv::mean(planes[0], mask)[0];
  return coarse;
}

}  // namespace plumbstack
