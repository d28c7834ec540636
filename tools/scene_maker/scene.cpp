#include "scene.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "capture.hpp"
#include "surroundings.hpp"
#include "wall.hpp"

namespace scene {
namespace {

cv::Size photo_size(Dice& dice, int long_side, bool upright) {
  const int short_side =
      static_cast<int>(long_side * dice.pick({0.75, 0.75, 0.75, 0.667, 0.5625})) & ~7;
  return upright ? cv::Size(short_side, long_side & ~7) : cv::Size(long_side & ~7, short_side);
}

CameraWish camera_wish(Dice& dice, const SidePlan& plan, int long_side) {
  CameraWish wish;
  wish.strip_mm = plan.strip;
  wish.axis_mm = plan.axis_mm();
  wish.slot_1_at = plan.slot_1_at;
  const bool upright = plan.slot_1_at == "top" || plan.slot_1_at == "bottom";
  const bool tall = plan.axis_mm() > plan.strip;
  wish.photo = photo_size(dice, long_side, dice.chance(0.9) ? upright == tall : upright != tall);
  wish.max_slant_deg = 33;
  wish.slanted_share = 0.3;
  wish.max_roll_deg = dice.chance(0.15) ? 28 : 10;
  wish.fill_low = 0.62;
  wish.fill_high = dice.chance(0.5) ? 0.97 : 0.85;
  if (plan.capture_fault == "crop") wish.fill_low = 1.02, wish.fill_high = 1.25;
  return wish;
}

cv::Vec3d choose_lamp(Dice& dice, const Camera& camera) {
  if (dice.chance(0.2)) return camera.towards_camera();  // flash
  cv::Vec3d lamp(dice.normal(0.7), dice.normal(0.7), dice.uniform(0.4, 1.4));
  return lamp / cv::norm(lamp);
}

// A technician sees to it that the stack fills the photo, upright or across as it stands, and
// isn't seen from far aside.
CameraWish careful_wish(Dice& dice, const SidePlan& plan, int long_side) {
  CameraWish wish = camera_wish(dice, plan, long_side);
  const bool axis_upright = plan.slot_1_at == "top" || plan.slot_1_at == "bottom";
  const bool tall = plan.axis_mm() > plan.strip;
  wish.photo = photo_size(dice, long_side, axis_upright == tall);
  wish.max_slant_deg = 20;
  wish.slanted_share = 0;
  wish.max_roll_deg = 6;
  if (plan.capture_fault != "crop") wish.fill_low = 0.82, wish.fill_high = 0.96;
  return wish;
}

Canvas blank_canvas(Dice& dice, cv::Size size, const Camera* camera) {
  Canvas canvas;
  canvas.photo = draw_background(dice, size);
  canvas.cover = cv::Mat::zeros(size.height / 4, size.width / 4, CV_8U);
  canvas.camera = camera;
  draw_clutter(dice, canvas.photo, dice.whole(0, 9));
  if (dice.chance(0.35)) cv::GaussianBlur(canvas.photo, canvas.photo, {}, dice.uniform(1, 5));
  return canvas;
}

// The stack on the canvas, seen by the canvas's camera under its lamp. `wall`: the side next to the
// one photographed, where it is to have a face of its own.
Scene photographed(Dice& dice, const SidePlan& plan, const SidePlan* wall, const SceneTexts& texts,
                   const Look& look, Canvas& canvas) {
  const Camera& camera = *canvas.camera;
  const Studs studs = draw_bodies(dice, canvas, plan, look);
  if (wall) draw_wall_face(dice, plan, *wall, look, texts, canvas);
  draw_near_studs(dice, canvas, plan, look, studs);
  const double scale = std::clamp(camera.px_per_mm() * 1.15, 1.2, 6.0);
  const FaceDrawing drawing = draw_face(dice, plan, look, texts.number, texts.other, scale);
  const double contrast = dice.uniform(0.5, 1.3);
  lay_face(drawing, lit(drawing.relief, canvas.lamp, camera.towards_camera(), contrast),
           camera.photo_from_stack(), canvas);
  draw_standing(dice, canvas, plan, look);
  draw_frame(dice, canvas, plan, look);
  draw_soft_lines(dice, canvas, plan);
  if (plan.capture_fault == "occlusion") draw_obstacle(dice, canvas, plan);
  CaptureWish capture;
  capture.fault = plan.capture_fault;
  capture.sharp_px_per_mm = camera.px_per_mm();
  expose(dice, canvas.photo, canvas.cover, camera, {plan.strip, plan.axis_mm()}, capture);
  nlohmann::ordered_json truth = truth_of(plan, camera, drawing, canvas.cover);
  return {canvas.photo, canvas.cover, std::move(truth)};
}

}  // namespace

Scene draw_scene(Dice& dice, const SidePlan& plan, const SceneTexts& texts, int long_side) {
  const CameraWish wish =
      dice.chance(0.5) ? careful_wish(dice, plan, long_side) : camera_wish(dice, plan, long_side);
  const Camera camera = place_camera(dice, wish);
  Canvas canvas = blank_canvas(dice, wish.photo, &camera);
  canvas.lamp = choose_lamp(dice, camera);
  const Look look = choose_look(dice, plan);
  const SidePlan wall = wall_of(dice, plan);
  return photographed(dice, plan, dice.chance(0.7) ? &wall : nullptr, texts, look, canvas);
}

Scene draw_shop_photo(Dice& dice, const SidePlan& plan, const SceneTexts& texts, int long_side,
                      const Look& look) {
  const CameraWish wish = careful_wish(dice, plan, long_side);
  const Camera camera = place_camera(dice, wish);
  Canvas canvas;
  canvas.photo = draw_bench(dice, wish.photo);
  canvas.cover = cv::Mat::zeros(wish.photo.height / 4, wish.photo.width / 4, CV_8U);
  canvas.camera = &camera;
  canvas.lamp = choose_lamp(dice, camera);
  return photographed(dice, plan, nullptr, texts, look, canvas);
}

Scene draw_empty_scene(Dice& dice, int long_side) {
  Camera camera;
  camera.photo = photo_size(dice, long_side, dice.chance(0.5));
  camera.intrinsic = {1000, 0, camera.centre().x, 0, 1000, camera.centre().y, 0, 0, 1};
  camera.rotation = cv::Matx33d::eye();
  camera.translation = {0, 0, 700};
  Canvas canvas = blank_canvas(dice, camera.photo, &camera);
  draw_clutter(dice, canvas.photo, dice.whole(2, 14));
  expose(dice, canvas.photo, canvas.cover, camera, {285, 500}, {});
  nlohmann::ordered_json truth{{"width", camera.photo.width},
                               {"height", camera.photo.height},
                               {"exif_orientation", 1},
                               {"expect", "retake"},
                               {"accept", {"retake"}}};
  truth["findings"] = {{{"code", "photo.no_stack"}, {"slots", nlohmann::json::array()}}};
  truth["slots"] = nlohmann::json::array();
  return {canvas.photo, canvas.cover, std::move(truth)};
}

}  // namespace scene
