#include "face.hpp"

namespace scene {
namespace {

cv::Scalar choose_plastic(Dice& dice) {
  const cv::Scalar base =
      dice.pick({cv::Scalar(38, 36, 36), cv::Scalar(55, 52, 50), cv::Scalar(80, 78, 76),
                 cv::Scalar(165, 160, 156), cv::Scalar(190, 182, 178), cv::Scalar(175, 185, 192),
                 cv::Scalar(150, 140, 140), cv::Scalar(200, 205, 208), cv::Scalar(110, 105, 100),
                 cv::Scalar(130, 160, 180)});
  if (dice.chance(0.08)) return dice.any_color(0.6);
  return dice.near_color(base, 10);
}

double level(const cv::Scalar& bgr) {
  return 0.11 * bgr[0] + 0.59 * bgr[1] + 0.3 * bgr[2];
}

cv::Scalar choose_ink(Dice& dice, const cv::Scalar& on) {
  const bool dark_plastic = level(on) < 105;
  if (dark_plastic)
    return dice.pick({cv::Scalar(245, 245, 245), cv::Scalar(230, 235, 240),
                      cv::Scalar(150, 230, 245), cv::Scalar(190, 190, 190),
                      cv::Scalar(90, 220, 240), cv::Scalar(200, 240, 255),
                      cv::Scalar(180, 180, 235)});
  return dice.pick({cv::Scalar(20, 20, 20), cv::Scalar(30, 25, 25), cv::Scalar(40, 40, 45),
                    cv::Scalar(140, 50, 30), cv::Scalar(40, 30, 150), cv::Scalar(60, 60, 60),
                    cv::Scalar(180, 70, 50), cv::Scalar(50, 90, 40)});
}

Plates choose_plates(Dice& dice, const SidePlan& plan, const Look& look) {
  Plates p;
  p.color = dice.chance(0.55)  ? dice.near_color(look.plastic, dice.pick({4.0, 25.0}))
            : dice.chance(0.5) ? dice.near_color({200, 205, 205}, 25)
                               : dice.any_color(0.8);
  p.thick = dice.uniform(3, 32);
  p.over = dice.uniform(-4, 14);
  p.rise = dice.uniform(-8, 7);
  p.gap[0] = dice.uniform(0, 1.2);
  p.gap[1] = dice.uniform(0, 1.2);
  p.rib_pitch = dice.uniform(8, 30);
  p.ribs = dice.chance(0.5);
  if (dice.chance(0.35)) {
    p.like_modules = true;
    p.color = dice.near_color(look.plastic, dice.pick({2.0, 8.0, 25.0}));
    p.thick = plan.thickness * (dice.chance(0.5) ? dice.uniform(0.9, 1.1) : dice.uniform(0.4, 1.4));
    p.over = dice.uniform(-1.5, 5);
    p.rise = 0;
  }
  if (dice.chance(0.3)) p.block = dice.uniform(8, 34);
  p.block_color = dice.near_color({40, 40, 42}, 20);
  return p;
}

Tray choose_tray(Dice& dice) {
  Tray t;
  t.color = dice.chance(0.7) ? dice.near_color({40, 40, 42}, 20) : dice.any_color(0.6);
  t.gap = dice.uniform(0.3, 9);
  t.wall = dice.uniform(2, 7);
  t.rise = dice.uniform(-25, 10);
  return t;
}

Port choose_port(Dice& dice, const SidePlan& plan) {
  Port p;
  p.inward = dice.uniform(0.06, 0.16) * plan.strip;
  p.radius = plan.thickness * dice.uniform(0.06, 0.16);
  p.collar = p.radius * dice.uniform(1.2, 2.2);
  p.bracket = dice.chance(0.5);
  return p;
}

}  // namespace

Look choose_look(Dice& dice, const SidePlan& plan) {
  Look look;
  look.plastic = choose_plastic(dice);
  look.plastic_spread = dice.uniform(0, 7);
  look.mixed_plastics = dice.chance(0.12);
  look.ink = dice.near_color(choose_ink(dice, look.plastic), 6);
  look.capacity_ink =
      dice.chance(0.5) ? look.ink : dice.near_color(choose_ink(dice, look.plastic), 6);
  look.ink_opacity = dice.chance(0.8) ? dice.uniform(0.8, 1) : dice.uniform(0.45, 0.8);
  look.sign_ink = level(look.plastic) < 105
                      ? dice.pick({cv::Scalar(235, 235, 235), cv::Scalar(90, 220, 240),
                                   cv::Scalar(80, 80, 220)})
                      : dice.pick({cv::Scalar(30, 30, 30), cv::Scalar(40, 40, 200),
                                   cv::Scalar(60, 60, 60), cv::Scalar(240, 240, 240)});
  if (plan.red_plus && look.sign_ink[2] > 2 * look.sign_ink[1])
    look.sign_ink = cv::Scalar(90, 90, 90);  // where red tells a plus, nobody prints signs in red
  look.seam =
      shaded(look.plastic, dice.chance(0.85) ? dice.uniform(0.1, 0.5) : dice.uniform(0.6, 1.2));
  look.vent = dice.pick({VentStyle::tube, VentStyle::tube, VentStyle::tube, VentStyle::elbow,
                         VentStyle::elbow, VentStyle::ring, VentStyle::grille, VentStyle::plate});
  look.sign = dice.pick({SignStyle::moulded, SignStyle::moulded, SignStyle::printed,
                         SignStyle::bare_moulded, SignStyle::bare_printed});
  look.vent_color =
      dice.chance(0.5)
          ? dice.near_color(look.plastic, 15)
          : dice.pick({cv::Scalar(190, 90, 40), cv::Scalar(235, 110, 60), cv::Scalar(30, 30, 30),
                       cv::Scalar(230, 230, 230), cv::Scalar(40, 40, 190), cv::Scalar(180, 140, 60),
                       dice.any_color(1)});
  look.vent_radius = std::min(plan.thickness * dice.uniform(0.22, 0.48), 9.5);
  look.vent_tube = dice.uniform(2, 17);
  look.vent_pipe = dice.uniform(0.35, 0.75);
  look.vent_mouth = dice.uniform(0.35, 0.8);
  look.vent_heading = CV_PI / 4 * dice.whole(0, 7) + dice.normal(0.1);
  if (dice.chance(0.4)) {
    look.louvres_outward = dice.chance(0.7) ? dice.whole(2, 5) : 0;
    look.louvres_inward = dice.chance(0.7) ? dice.whole(2, 5) : 0;
    look.louvres_upright = dice.chance(0.5);
  }
  look.sign_size = dice.uniform(6.5, 11);
  look.relief = dice.uniform(0.5, 1.6);
  look.seam_inset = dice.uniform(0.15, 0.8);
  look.dirt = dice.uniform(0, 1);
  look.rust = dice.chance(0.35) ? dice.uniform(0.2, 1) : 0;
  look.dust = dice.chance(0.5) ? dice.uniform(0, 1) : 0;
  look.rust_color = dice.near_color(
      dice.pick({cv::Scalar(45, 85, 150), cv::Scalar(60, 110, 190), cv::Scalar(70, 95, 125)}), 12);
  look.scuffs = dice.chance(0.3) ? dice.uniform(0.3, 1) : 0;
  look.scuff_color = dice.near_color({170, 175, 178}, 25);
  if (dice.chance(0.35)) {
    look.blotches = dice.uniform(0.05, 0.5);
    look.blotch_mm = dice.uniform(0.7, 7);
    look.blotch_color = dice.near_color(shaded(look.plastic, dice.pick({0.5, 1.35, 1.8})), 12);
  }
  if (dice.chance(0.3)) look.grain_mm = dice.uniform(0.01, 0.08);
  const bool pipe = look.vent == VentStyle::tube || look.vent == VentStyle::elbow;
  if (plan.has_vent && dice.chance(pipe ? 0.6 : 0.1)) look.port = choose_port(dice, plan);
  look.cogs = dice.chance(0.5);
  if (dice.chance(0.5)) look.pad = {dice.uniform(12, 30), plan.thickness * dice.uniform(0.45, 0.9)};
  look.number_labels = dice.chance(0.12);
  look.label_color =
      dice.pick({cv::Scalar(235, 235, 235), cv::Scalar(150, 230, 245), cv::Scalar(210, 235, 235)});
  if (look.number_labels) look.ink = cv::Scalar(30, 30, 30);
  look.stud_gold = dice.chance(0.25);
  const bool spaced = plan.pitch > plan.thickness;
  if (dice.chance(spaced ? 0.4 : 0.05))
    look.tray = choose_tray(dice);
  else if (dice.chance(0.92))
    look.plates = choose_plates(dice, plan, look);
  return look;
}

}  // namespace scene
