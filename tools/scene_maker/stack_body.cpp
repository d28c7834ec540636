// The solid parts of the stack, far to near: module bodies, studs, end plates, what stands on the
// faces, rods over them.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "surroundings.hpp"

namespace scene {
namespace {

double shade_of(const cv::Vec3d& normal, const cv::Vec3d& lamp) {
  return 0.45 + 0.6 * std::max(0.0, normal.dot(lamp));
}

// A box from h = low to h = high; only the walls that face the camera, then the lid.
void draw_box(Canvas& canvas, const cv::Rect2d& r, double low, double high, const cv::Scalar& bgr,
              bool lid, bool covers) {
  const cv::Vec3d eye = canvas.camera->towards_camera();
  const double x0 = r.x, x1 = r.x + r.width, y0 = r.y, y1 = r.y + r.height;
  const struct {
    cv::Vec3d normal, a, b;
  } walls[4] = {{{-1, 0, 0}, {x0, y0, 0}, {x0, y1, 0}},
                {{1, 0, 0}, {x1, y0, 0}, {x1, y1, 0}},
                {{0, -1, 0}, {x0, y0, 0}, {x1, y0, 0}},
                {{0, 1, 0}, {x0, y1, 0}, {x1, y1, 0}}};
  for (const auto& wall : walls) {
    if (wall.normal.dot(eye) <= -0.3) continue;
    const cv::Vec3d up(0, 0, high), down(0, 0, low);
    canvas.polygon({wall.a + down, wall.b + down, wall.b + up, wall.a + up},
                   shaded(bgr, shade_of(wall.normal, canvas.lamp)), covers && high > 1);
  }
  if (lid)
    canvas.polygon({{x0, y0, high}, {x1, y0, high}, {x1, y1, high}, {x0, y1, high}},
                   shaded(bgr, shade_of({0, 0, 1}, canvas.lamp)), covers);
}

void draw_stud(Dice& dice, Canvas& canvas, double x, double y, double h, double reach,
               const Look& look) {
  const cv::Scalar metal =
      look.stud_gold ? cv::Scalar(70, 160, 205) : dice.near_color({165, 165, 165}, 12);
  canvas.bar({x, y, h}, {x + reach * 0.25, y, h}, 5.5, shaded(metal, 0.8), 0.6, false);
  canvas.bar({x, y, h}, {x + reach, y, h}, 2.8, metal, 1, false);
}

void draw_studs(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look,
                const Studs& studs, bool left) {
  for (const Module& m : plan.stack)
    draw_stud(dice, canvas, left ? m.stagger : plan.strip + m.stagger, m.top + plan.thickness / 2,
              studs.h, left ? -studs.reach : studs.reach, look);
}

cv::Rect2d plate_box(const SidePlan& plan, const Plates& p, int end) {
  return {-p.over, end ? plan.axis_mm() + p.gap[1] : -p.thick - p.gap[0], plan.strip + 2 * p.over,
          p.thick};
}

// Outer walls first, under the modules; the lids come after the faces, since they may stand proud.
void draw_plate_bodies(Canvas& canvas, const SidePlan& plan, const Plates& p) {
  const double depth = plan.kind == "terminal" ? plan.length : plan.height;
  for (int end = 0; end < 2; ++end)
    draw_box(canvas, plate_box(plan, p, end), -depth, p.rise, p.color, true, false);
}

void draw_plate_lids(Canvas& canvas, const SidePlan& plan, const Plates& p) {
  for (int end = 0; end < 2; ++end) {
    const cv::Rect2d box = plate_box(plan, p, end);
    if (p.like_modules) continue;  // drawn with the faces
    draw_box(canvas, box, std::min(0.0, p.rise), p.rise, p.color, true, false);
    if (!p.ribs) continue;
    for (double x = box.x + 4; x + 6 < box.x + box.width; x += p.rib_pitch)
      canvas.polygon({{x, box.y + p.thick * 0.2, p.rise},
                      {x + 4, box.y + p.thick * 0.2, p.rise},
                      {x + 4, box.y + p.thick * 0.8, p.rise},
                      {x, box.y + p.thick * 0.8, p.rise}},
                     shaded(p.color, 0.6), false);
  }
}

// Blocks on the corners of the plates, past the ends of the strips and a little over them.
void draw_blocks(Dice& dice, Canvas& canvas, const SidePlan& plan, const Plates& p) {
  const double over = dice.uniform(-0.3, 0.9) * p.block, high = dice.uniform(1, 10),
               beyond = dice.uniform(-2, 8);
  for (int end = 0; end < 2; ++end) {
    const cv::Rect2d plate = plate_box(plan, p, end);
    const double y = end ? plate.y : plate.y - beyond;
    for (const double x : {plate.x - over, plate.x + plate.width + over - p.block})
      draw_box(canvas, {x, y, p.block, plate.height + beyond}, 0, high, p.block_color, true, false);
  }
}

// The walls stand free of the modules. What lies lower than the faces is drawn before them.
void draw_tray(Canvas& canvas, const SidePlan& plan, const Tray& t) {
  const double low = std::min(0.0, t.rise), g = t.gap, w = t.wall, l = plan.strip,
               a = plan.axis_mm();
  for (const cv::Rect2d& wall :
       {cv::Rect2d(-g - w, -g - w, w, a + 2 * (g + w)),
        cv::Rect2d(l + g, -g - w, w, a + 2 * (g + w)), cv::Rect2d(-g, -g - w, l + 2 * g, w),
        cv::Rect2d(-g, a + g, l + 2 * g, w)})
    draw_box(canvas, wall, low, t.rise, t.color, true, true);
}

}  // namespace

Studs draw_bodies(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look) {
  if (look.plates) draw_plate_bodies(canvas, plan, *look.plates);
  const double depth = plan.kind == "terminal" ? plan.length : plan.height;
  const double total = plan.axis_mm();
  // Shadow on what lies behind.
  if (dice.chance(0.7)) {
    cv::Mat shade(canvas.photo.size(), CV_8UC3, cv::Scalar::all(255)), small;
    Canvas onto{shade, canvas.cover, canvas.camera, canvas.lamp};
    const double s = dice.uniform(0, 25), dx = -40 * canvas.lamp[0], dy = -40 * canvas.lamp[1];
    onto.polygon({{dx - s, dy - s, -depth},
                  {plan.strip + dx + s, dy - s, -depth},
                  {plan.strip + dx + s, total + dy + s, -depth},
                  {dx - s, total + dy + s, -depth}},
                 cv::Scalar::all(dice.uniform(60, 190)), false);
    cv::resize(shade, small, {}, 0.125, 0.125, cv::INTER_AREA);
    cv::GaussianBlur(small, small, {}, dice.uniform(0.6, 6));
    cv::resize(small, shade, shade.size(), 0, 0, cv::INTER_LINEAR);
    cv::multiply(canvas.photo, shade, canvas.photo, 1 / 255.0);
  }
  if (look.tray && look.tray->rise <= 0) draw_tray(canvas, plan, *look.tray);
  ModuleDice of_modules(dice, look);
  Studs studs;
  studs.any = plan.kind != "terminal" && (*of_modules).chance(0.75);
  studs.h = -depth * (*of_modules).uniform(0.12, 0.5);
  studs.reach = (*of_modules).uniform(8, 17);
  const cv::Vec3d eye = canvas.camera->towards_camera();
  if (studs.any) draw_studs(dice, canvas, plan, look, studs, eye[0] > 0);
  const std::size_t n = plan.stack.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Module& m = plan.stack[eye[1] > 0 ? i : n - 1 - i];
    draw_box(canvas, {m.stagger, m.top + 0.3, plan.strip, plan.thickness - 0.6}, -depth, 0,
             dice.near_color(look.plastic, look.plastic_spread), true, false);
    // Ribs on the visible end wall.
    if (dice.chance(0.6)) {
      const double x = eye[0] > 0 ? plan.strip + m.stagger : m.stagger;
      for (int j = 1; j < 6; ++j)
        canvas.polygon({{x, m.top + 2, -depth * j / 6.0},
                        {x, m.top + plan.thickness - 2, -depth * j / 6.0},
                        {x, m.top + plan.thickness - 2, -depth * j / 6.0 - 3},
                        {x, m.top + 2, -depth * j / 6.0 - 3}},
                       shaded(look.plastic, 0.45), false);
    }
  }
  return studs;
}

void draw_near_studs(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look,
                     const Studs& studs) {
  if (studs.any)
    draw_studs(dice, canvas, plan, look, studs, canvas.camera->towards_camera()[0] <= 0);
}

namespace {

// A vent whose pipe turns off along the face: up from its base, then aside.
void draw_elbow(Canvas& canvas, const Look& look, cv::Point2d at, bool flipped) {
  const double pipe = look.vent_radius * look.vent_pipe, rise = 1.5 + pipe + look.vent_tube * 0.3;
  const double way = look.vent_heading + (flipped ? CV_PI : 0);
  const cv::Point2d tip =
      at + cv::Point2d(std::cos(way), std::sin(way)) * (look.vent_radius + look.vent_tube * 0.6);
  canvas.tube(at, look.vent_radius * 0.9, 0, 1.5, look.vent_color, 0, false);
  canvas.tube(at, pipe, 1.5, rise + pipe, look.vent_color, 0, false);
  canvas.bar({at.x, at.y, rise}, {tip.x, tip.y, rise}, pipe, look.vent_color, 0.2, false);
  const cv::Vec3d along(std::cos(way), std::sin(way), 0), side(-along[1], along[0], 0);
  if (along.dot(canvas.camera->towards_camera()) <= 0) return;
  constexpr int kCorners = 16;  // the mouth
  std::vector<cv::Vec3d> mouth;
  for (int i = 0; i < kCorners; ++i) {
    const double a = 2 * CV_PI * i / kCorners, r = pipe * look.vent_mouth;
    mouth.push_back(cv::Vec3d(tip.x, tip.y, rise + r * std::sin(a)) + r * std::cos(a) * side);
  }
  canvas.polygon(mouth, shaded(look.vent_color, 0.15), false);
}

// How the studs on a face look: all of a stack's are alike, but each is turned as it came.
struct FaceStuds {
  double radius, reach, nut, nut_height, dab;  // mm; no nut: 0
  enum class Tip { plain, slot, socket } tip;
};

FaceStuds choose_face_studs(Dice& dice) {
  FaceStuds s{};
  s.radius = dice.uniform(1.8, 3.4);
  s.reach = dice.chance(0.5) ? dice.uniform(2, 6) : dice.uniform(5, 16);
  s.nut = dice.chance(0.6) ? s.radius * dice.uniform(1.6, 2.1) : 0;
  s.nut_height = std::min(s.reach, dice.uniform(1.5, 5));
  s.dab = s.radius * dice.uniform(0.5, 1);
  s.tip = dice.pick(
      {FaceStuds::Tip::plain, FaceStuds::Tip::plain, FaceStuds::Tip::slot, FaceStuds::Tip::socket});
  return s;
}

void draw_hexagon(Canvas& canvas, cv::Point2d at, double radius, double height, double turn,
                  const cv::Scalar& bgr) {
  std::vector<cv::Vec3d> corners;
  for (int k = 0; k < 6; ++k)
    corners.emplace_back(at.x + radius * std::cos(turn + k * CV_PI / 3),
                         at.y + radius * std::sin(turn + k * CV_PI / 3), height);
  canvas.polygon(corners, bgr, false);
}

// A slot and a socket are no sign, whatever they look like.
void draw_face_stud(Dice& dice, Canvas& canvas, const FaceStuds& studs, cv::Point2d at,
                    const cv::Scalar& metal, bool dabbed) {
  const double turn = dice.uniform(0, CV_PI), top = studs.reach + 0.05;
  if (studs.nut > 0) {
    canvas.tube(at, studs.nut, 0.5, studs.nut_height, shaded(metal, 0.8), 0, false);
    draw_hexagon(canvas, at, studs.nut, studs.nut_height + 0.05, turn, shaded(metal, 1.05));
  }
  canvas.tube(at, studs.radius, 0.5, studs.reach, metal, 0, false);
  const cv::Point2d along(std::cos(turn), std::sin(turn)), across(-along.y, along.x);
  if (studs.tip == FaceStuds::Tip::slot) {
    const cv::Point2d half = along * studs.radius * 0.9, wide = across * 0.45;
    std::vector<cv::Vec3d> slot;
    for (const cv::Point2d& p : {half + wide, half - wide, -half - wide, -half + wide})
      slot.emplace_back(at.x + p.x, at.y + p.y, top);
    canvas.polygon(slot, shaded(metal, 0.35), false);
  } else if (studs.tip == FaceStuds::Tip::socket) {
    draw_hexagon(canvas, at, studs.radius * 0.55, top, turn, shaded(metal, 0.3));
  }
  if (dabbed)
    canvas.tube(at, studs.dab, top, top + 0.2, dice.near_color({35, 30, 205}, 8), 0, false);
}

}  // namespace

void draw_standing(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look) {
  const cv::Scalar metal = look.stud_gold ? cv::Scalar(70, 160, 205) : cv::Scalar(170, 170, 170);
  ModuleDice of_modules(dice, look);
  const double reach = (*of_modules).uniform(5, 16), nut = (*of_modules).uniform(3.5, 6);
  const bool nuts = (*of_modules).chance(0.6);
  const FaceStuds face_studs = choose_face_studs(*of_modules);
  for (const Module& m : plan.stack)
    for (const MarkAt& mark : m.marks) {
      const cv::Point2d at(mark.x + m.stagger, mark.y + m.top);
      if (mark.kind == 'v' && look.vent == VentStyle::tube) {
        canvas.tube(at, look.vent_radius * look.vent_pipe, 1.5, look.vent_tube, look.vent_color,
                    look.vent_mouth, false);
      } else if (mark.kind == 'v' && look.vent == VentStyle::elbow) {
        draw_elbow(canvas, look, at, m.flipped);
      } else if (mark.kind == 'P' || mark.kind == 'M') {
        // The sign is beside it, and hidden behind it when seen from the wrong side.
        if (nuts) canvas.tube(at, nut, 0.5, 4, shaded(metal, 0.85), 0, look.plain_pads);
        canvas.tube(at, 2.9, 0.5, reach, dice.near_color(metal, 8), 0, look.plain_pads);
      } else if (mark.kind == 'p' || mark.kind == 'm') {
        draw_face_stud(dice, canvas, face_studs, at, dice.near_color(metal, 8),
                       plan.red_plus && mark.kind == 'p');
      }
    }
}

namespace {

void draw_rods(Dice& dice, Canvas& canvas, const SidePlan& plan) {
  const double total = plan.axis_mm(), l = plan.strip;
  const bool outside = dice.chance(plan.kind == "terminal" ? 0.7 : 0.45);
  const double radius = outside ? dice.uniform(2.5, 6) : dice.uniform(4, 7.5);
  const cv::Scalar color = dice.pick({cv::Scalar(35, 35, 35), cv::Scalar(170, 172, 175),
                                      cv::Scalar(120, 120, 120), cv::Scalar(60, 60, 62)});
  const double x1 = outside ? -dice.uniform(6, 14) : l * dice.uniform(0.18, 0.4);
  const double x2 = outside ? l + dice.uniform(6, 14) : l * dice.uniform(0.6, 0.85);
  const double h = outside ? dice.uniform(-40, 4) : radius + dice.uniform(0.5, 16);
  for (double x : {x1, x2}) {
    canvas.bar({x, -30, h}, {x, total + 30, h}, radius, color, dice.uniform(0, 1), true);
    if (outside || dice.chance(0.5)) continue;
    for (int i = dice.whole(1, 3); i > 0; --i) {  // sleeves and labels on the rod
      const double y = dice.uniform(0, total), len = dice.uniform(5, 60);
      canvas.bar({x, y, h}, {x, y + len, h}, radius * 1.06, dice.any_color(0.9), 0, true);
    }
  }
}

}  // namespace

void draw_frame(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look) {
  if (look.plates) draw_plate_lids(canvas, plan, *look.plates);
  if (look.plates && look.plates->block > 0) draw_blocks(dice, canvas, plan, *look.plates);
  if (look.tray && look.tray->rise > 0) draw_tray(canvas, plan, *look.tray);
  if (dice.chance(0.75)) draw_rods(dice, canvas, plan);
}

}  // namespace scene
