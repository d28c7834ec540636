#include "wall.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "place.hpp"

namespace scene {

// Photo pixel -> drawing pixel, worked out on a coarse grid and stretched: the map is smooth.
void lay_face(const FaceDrawing& drawing, const cv::Mat& shaded_face,
              const cv::Matx33d& photo_from_face, Canvas& canvas) {
  constexpr int kStep = 8;
  cv::Mat& photo = canvas.photo;
  const cv::Size grid((photo.cols + kStep - 1) / kStep + 1, (photo.rows + kStep - 1) / kStep + 1);
  cv::Mat coarse(grid, CV_32FC2), fine;
  const cv::Matx33d face_from_photo = photo_from_face.inv();
  for (int j = 0; j < grid.height; ++j)
    for (int i = 0; i < grid.width; ++i) {
      const cv::Point2d p = canvas.camera->undistorted({double(i) * kStep, double(j) * kStep});
      const cv::Vec3d v = face_from_photo * cv::Vec3d(p.x, p.y, 1);
      coarse.at<cv::Vec2f>(j, i) = {
          static_cast<float>((v[0] / v[2] - drawing.origin_mm.x) * drawing.relief.px_per_mm),
          static_cast<float>((v[1] / v[2] - drawing.origin_mm.y) * drawing.relief.px_per_mm)};
    }
  // Stretch so that grid node (i, j) lands exactly on pixel (i, j) * kStep.
  const cv::Matx23d stretch(1.0 / kStep, 0, 0, 0, 1.0 / kStep, 0);
  cv::warpAffine(coarse, fine, stretch, photo.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP,
                 cv::BORDER_REPLICATE);
  cv::Mat color, alpha;
  cv::remap(shaded_face, color, fine, cv::noArray(), cv::INTER_LINEAR);
  cv::remap(drawing.solid, alpha, fine, cv::noArray(), cv::INTER_LINEAR);
  for (int y = 0; y < photo.rows; ++y)
    for (int x = 0; x < photo.cols; ++x) {
      const int a = alpha.at<uchar>(y, x);
      if (a == 0) continue;
      cv::Vec3b& p = photo.at<cv::Vec3b>(y, x);
      const cv::Vec3b& q = color.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = static_cast<uchar>((p[c] * (255 - a) + q[c] * a) / 255);
    }
}

SidePlan wall_of(Dice& dice, const SidePlan& front) {
  SidePlan wall = front;
  const bool end = front.kind != "terminal";
  wall.kind = end ? "terminal"
                  : dice.pick({std::string("number"), std::string("top"), std::string("vent")});
  wall.strip = end ? front.height : front.length;
  wall.has_number = wall.kind == "number" || wall.kind == "top";
  wall.has_vent = wall.kind == "vent" || wall.kind == "top";
  wall.has_sign = wall.kind != "vent" && dice.chance(0.7);
  wall.texts.resize(wall.stack.size());
  for (std::size_t k = 0; k < wall.stack.size(); ++k) {
    Module& m = wall.stack[k];
    m.marks.clear(), m.writings.clear(), m.stagger = 0;
    if (wall.has_number && wall.texts[k].empty()) wall.texts[k] = std::to_string(dice.whole(1, 99));
  }
  place_marks(dice, wall);
  place_writings(dice, wall);
  return wall;
}

void draw_wall_face(Dice& dice, const SidePlan& front, const SidePlan& wall, const Look& look,
                    const SceneTexts& texts, Canvas& canvas) {
  const Camera& camera = *canvas.camera;
  const cv::Vec3d lamp = canvas.lamp, eye = camera.towards_camera();
  const bool right = eye[0] > 0;
  // Seen from its own outside, a wall's strips run from left to right.
  const cv::Vec3d origin = right ? cv::Vec3d(front.strip, 0, 0) : cv::Vec3d(0, 0, -wall.strip);
  const cv::Vec3d along(0, 0, right ? -1 : 1);
  const auto in_wall = [&](const cv::Vec3d& v) {
    return cv::Vec3d(v.dot(along), v[1], right ? v[0] : -v[0]);
  };
  const cv::Point2d a = camera.project(origin[0], 0, 0),
                    b = camera.project(origin[0], 0, -wall.strip);
  const double scale = camera.px_per_mm() * 0.8;
  if (cv::norm(a - b) < 6) return;  // as good as edge on
  const FaceDrawing drawing =
      draw_face(dice, wall, look, texts.number, texts.other, std::clamp(scale, 1.0, 4.0));
  cv::Vec3d light = in_wall(lamp);
  const double brightness = 0.45 + 0.6 * std::max(0.0, light[2]);
  light[2] = std::max(light[2], 0.15);
  cv::Mat shown =
      lit(drawing.relief, light / cv::norm(light), in_wall(eye), dice.uniform(0.5, 1.3));
  shown *= std::min(1.1, brightness);
  lay_face(drawing, shown, camera.photo_from_plane(origin, along, {0, 1, 0}), canvas);
}

}  // namespace scene
