#include "camera.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

cv::Matx33d turn_about(int axis, double degrees) {
  const double a = degrees * CV_PI / 180, c = std::cos(a), s = std::sin(a);
  if (axis == 0) return {1, 0, 0, 0, c, -s, 0, s, c};
  if (axis == 1) return {c, 0, s, 0, 1, 0, -s, 0, c};
  return {c, -s, 0, s, c, 0, 0, 0, 1};
}

double base_roll(const std::string& slot_1_at) {
  if (slot_1_at == "bottom") return 180;
  if (slot_1_at == "left") return -90;
  if (slot_1_at == "right") return 90;
  return 0;
}

struct Box {
  double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
};

Box seen_box(const Camera& camera, const CameraWish& wish) {
  Box box;
  for (double x : {-wish.margin_mm * 0.6, wish.strip_mm + wish.margin_mm * 0.6})
    for (double y : {-wish.margin_mm, wish.axis_mm + wish.margin_mm}) {
      const cv::Point2d p = camera.project(x, y);
      box.left = std::min(box.left, p.x), box.right = std::max(box.right, p.x);
      box.top = std::min(box.top, p.y), box.bottom = std::max(box.bottom, p.y);
    }
  return box;
}

}  // namespace

double Camera::half_diagonal() const {
  return std::hypot(photo.width, photo.height) / 2;
}

cv::Point2d Camera::project(double x, double y, double h) const {
  const cv::Vec3d v =
      intrinsic * (rotation * cv::Vec3d(x - middle_mm.x, y - middle_mm.y, -h) + translation);
  const cv::Point2d p(v[0] / v[2], v[1] / v[2]), c = centre(), d = p - c;
  const double r2 = d.dot(d) / (half_diagonal() * half_diagonal());
  return c + d * (1 + k1 * r2);
}

cv::Point2d Camera::undistorted(cv::Point2d photo_px) const {
  const cv::Point2d c = centre(), d = photo_px - c;
  cv::Point2d p = d;
  for (int i = 0; i < 8; ++i) p = d / (1 + k1 * p.dot(p) / (half_diagonal() * half_diagonal()));
  return c + p;
}

cv::Matx33d Camera::photo_from_stack() const {
  const cv::Matx33d h = photo_from_plane({0, 0, 0}, {1, 0, 0}, {0, 1, 0});
  return h * (1.0 / h(2, 2));
}

cv::Matx33d Camera::photo_from_plane(const cv::Vec3d& origin, const cv::Vec3d& u,
                                     const cv::Vec3d& v) const {
  const auto turned = [&](const cv::Vec3d& p) { return rotation * cv::Vec3d(p[0], p[1], -p[2]); };
  const cv::Vec3d columns[3] = {
      turned(u), turned(v), turned(origin - cv::Vec3d(middle_mm.x, middle_mm.y, 0)) + translation};
  cv::Matx33d together;
  for (int c = 0; c < 3; ++c)
    for (int r = 0; r < 3; ++r) together(r, c) = columns[c][r];
  return intrinsic * together;
}

double Camera::px_per_mm() const {
  const cv::Point2d a = project(middle_mm.x, middle_mm.y),
                    b = project(middle_mm.x + 1, middle_mm.y),
                    c = project(middle_mm.x, middle_mm.y + 1);
  return (cv::norm(b - a) + cv::norm(c - a)) / 2;
}

cv::Vec3d Camera::towards_camera() const {
  const cv::Vec3d eye = -(rotation.t() * translation);
  const cv::Vec3d v(eye[0], eye[1], -eye[2]);
  return v / cv::norm(v);
}

Camera place_camera(Dice& dice, const CameraWish& wish) {
  Camera camera;
  camera.photo = wish.photo;
  const double long_side = std::max(wish.photo.width, wish.photo.height);
  const double focal = long_side * dice.uniform(0.75, 1.9);
  const cv::Point2d c = camera.centre();
  camera.intrinsic = {focal, 0, c.x, 0, focal, c.y, 0, 0, 1};
  const double slant =
      wish.max_slant_deg * (dice.chance(wish.slanted_share)
                                ? dice.uniform(0.6, 1)
                                : std::sqrt(dice.uniform(0, 1)) * dice.uniform(0.2, 1));
  const double towards = dice.uniform(0, 2 * CV_PI);
  camera.rotation =
      turn_about(2,
                 base_roll(wish.slot_1_at) + dice.uniform(-wish.max_roll_deg, wish.max_roll_deg)) *
      turn_about(0, slant * std::cos(towards)) * turn_about(1, slant * std::sin(towards));
  camera.middle_mm = {wish.strip_mm / 2, wish.axis_mm / 2};
  camera.k1 = dice.chance(0.85) ? dice.normal(0.02) : dice.uniform(-0.08, 0.05);
  const double fill = dice.uniform(wish.fill_low, wish.fill_high);
  double distance = 3 * std::max(wish.strip_mm, wish.axis_mm);
  camera.translation = {0, 0, distance};
  for (int round = 0; round < 8; ++round) {
    const Box box = seen_box(camera, wish);
    const double used = std::max((box.right - box.left) / wish.photo.width,
                                 (box.bottom - box.top) / wish.photo.height);
    distance *= used / fill;
    camera.translation[2] = distance;
    // Shift so that the middle of what is seen lies in the middle of the photo.
    camera.translation[0] -= ((box.left + box.right) / 2 - c.x) * distance / focal;
    camera.translation[1] -= ((box.top + box.bottom) / 2 - c.y) * distance / focal;
  }
  const Box box = seen_box(camera, wish);
  const double room_x = wish.photo.width - (box.right - box.left);
  const double room_y = wish.photo.height - (box.bottom - box.top);
  camera.translation[0] += dice.uniform(-0.42, 0.42) * std::max(room_x, 0.0) * distance / focal;
  camera.translation[1] += dice.uniform(-0.42, 0.42) * std::max(room_y, 0.0) * distance / focal;
  return camera;
}

}  // namespace scene
