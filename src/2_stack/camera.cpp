// A homography and a focal length are a camera over a plane (Zhang 2000).
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kUsualFocal = 1.0;    // of a phone's lens, in longer sides of the photo
constexpr double kFullFrame = 43.267;  // mm, diagonal of the 35 mm frame

double focal_px(const Photo& photo) {
  const cv::Size size = photo.pixels.size();
  if (photo.focal_length_35mm && *photo.focal_length_35mm > 5)
    return *photo.focal_length_35mm / kFullFrame * std::hypot(size.width, size.height);
  return kUsualFocal * std::max(size.width, size.height);
}

}  // namespace

cv::Matx33d camera_from_stack(const Photo& photo, const PlaneView& view) {
  const double f = focal_px(photo);
  const cv::Matx33d camera_from_pixel(1 / f, 0, -view.centre.x / f, 0, 1 / f, -view.centre.y / f, 0,
                                      0, 1);
  return camera_from_pixel * view.photo_from_stack;
}

cv::Point3d camera_over(const Photo& photo, const PlaneView& view) {
  const cv::Matx33d b = camera_from_stack(photo, view);
  const double scale = (cv::norm(b.col(0)) + cv::norm(b.col(1))) / 2;
  const cv::Vec3d x = cv::normalize(cv::Vec3d(b.col(0).val)),
                  along = cv::Vec3d(b.col(1).val) - x.dot(cv::Vec3d(b.col(1).val)) * x,
                  y = cv::normalize(along), to_origin = cv::Vec3d(b.col(2).val) / scale;
  return {-x.dot(to_origin), -y.dot(to_origin), std::abs(x.cross(y).dot(to_origin))};
}

}  // namespace plumbstack
