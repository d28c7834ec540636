#include "plan.hpp"

#include <algorithm>
#include <cmath>

#include "faults.hpp"

namespace scene {
namespace {

struct Family {
  double length, height, thickness;
};

void choose_pack(Dice& dice, const Ask& ask, SidePlan& plan) {
  const Family family =
      dice.pick({Family{285, 118, 19.6}, Family{285, 118, 19.6}, Family{250, 132, 21.5},
                 Family{220, 110, 24}, Family{160, 100, 30}, Family{180, 125, 27}});
  const double vary = dice.chance(0.35) ? dice.uniform(0.85, 1.2) : 1;
  plan.length = std::round(family.length * vary);
  plan.height = std::round(family.height * (dice.chance(0.3) ? dice.uniform(0.85, 1.2) : 1));
  plan.thickness =
      std::round(10 * family.thickness * (dice.chance(0.3) ? dice.uniform(0.8, 1.25) : 1)) / 10;
  plan.pitch = plan.thickness + (dice.chance(0.1) ? std::round(dice.uniform(1, 8)) : 0);
  plan.modules = ask.modules > 0     ? ask.modules
                 : dice.chance(0.55) ? dice.whole(24, 40)
                 : dice.chance(0.75) ? dice.whole(10, 24)
                                     : dice.whole(4, 10);
  plan.kind = !ask.side.empty()
                  ? ask.side
                  : dice.pick({std::string("number"), std::string("vent"), std::string("top"),
                               std::string("top"), std::string("terminal")});
  plan.strip = plan.kind == "terminal" ? plan.height : plan.length;
}

void choose_rules(Dice& dice, SidePlan& plan) {
  plan.has_number = plan.kind == "number" || plan.kind == "top";
  plan.has_vent = plan.kind == "vent" || plan.kind == "top";
  plan.has_sign = plan.kind == "terminal" || plan.kind == "top" || dice.chance(0.4);
  plan.number_end = dice.pick({std::string("left"), std::string("right"), std::string("left"),
                               std::string("right"), std::string("any")});
  plan.number_rotation = dice.pick({0, 0, 180, 180, 90, 270});
  plan.vent_slot_1_end = dice.pick({std::string("left"), std::string("right")});
  plan.sign_slot_1 = dice.pick({'+', '-'});
  plan.sign_end =
      plan.kind == "terminal" ? "any" : dice.pick({std::string("left"), std::string("right")});
  plan.red_plus = dice.chance(0.4);
  plan.coloured_minus = plan.red_plus && plan.kind == "terminal" && dice.chance(0.4);
  plan.minus_color = dice.pick({std::string("black"), std::string("blue")});
  plan.slot_1_up = dice.chance(0.5);
  plan.slot_1_at = plan.slot_1_up ? "top"
                                  : dice.pick({std::string("top"), std::string("bottom"),
                                               std::string("left"), std::string("right")});
}

// In training nothing may be learnt from order or alternation: any number, any turn.
std::vector<std::string> random_numbers(Dice& dice, SidePlan& plan) {
  const double turn_share = dice.pick({0.0, 0.1, 0.5});
  std::vector<std::string> texts;
  for (Module& m : plan.stack) {
    m.turned = dice.chance(turn_share);
    const int n = dice.chance(0.2)    ? dice.whole(0, 9)
                  : dice.chance(0.12) ? dice.whole(100, 999)
                                      : dice.whole(10, 99);
    texts.push_back(dice.chance(0.04) ? "" : std::to_string(n));
  }
  return texts;
}

void place_marks(Dice& dice, SidePlan& plan) {
  const double t = plan.thickness, l = plan.strip;
  const double vent_x = l * dice.uniform(0.09, 0.32), vent_y = t * dice.uniform(0.42, 0.58);
  const double sign_x = dice.uniform(6, 14) + (dice.chance(0.2) ? l * 0.08 : 0);
  const double sign_y = t * dice.uniform(0.4, 0.6);
  const double terminal_x = l * dice.uniform(0.15, 0.85);
  double beside_x = terminal_x + dice.pick({-1, 1}) * dice.uniform(9, 17);
  if (beside_x < 8 || beside_x > l - 8) beside_x = 2 * terminal_x - beside_x;
  const char at_left_unflipped =
      plan.sign_end == "left" ? plan.sign_slot_1 : (plan.sign_slot_1 == '+' ? '-' : '+');
  // Slot 1 stands unflipped; its vent, as drawn on an unflipped face, is at the named end.
  const double vent_unflipped = plan.vent_slot_1_end == "left" ? vent_x : l - vent_x;
  for (Module& m : plan.stack) {
    if (plan.has_vent)
      m.marks.push_back(
          {m.flipped ? l - vent_unflipped : vent_unflipped, m.flipped ? t - vent_y : vent_y, 'v'});
    if (!plan.has_sign) continue;
    if (plan.kind == "terminal") {
      const char sign = (plan.sign_slot_1 == '+') != m.flipped ? '+' : '-';
      m.marks.push_back({terminal_x, t / 2, sign == '+' ? 'P' : 'M'});
      m.marks.push_back({beside_x, t / 2, sign});
      continue;
    }
    const char left = m.flipped ? (at_left_unflipped == '+' ? '-' : '+') : at_left_unflipped;
    m.marks.push_back({sign_x, m.flipped ? t - sign_y : sign_y, left});
    m.marks.push_back({l - sign_x, m.flipped ? sign_y : t - sign_y, left == '+' ? '-' : '+'});
  }
}

void place_numbers(Dice& dice, const std::vector<std::string>& texts, SidePlan& plan) {
  const double l = plan.strip, t = plan.thickness;
  const bool along = plan.number_rotation % 180 == 0;
  const double tall = along ? dice.uniform(0.42, 0.78) * t : dice.uniform(0.3, 0.55) * t;
  const double height = std::clamp(tall, 6.0, 17.0);
  double from_left =
      plan.number_end == "any" ? l * dice.uniform(0.25, 0.75) : l * dice.uniform(0.06, 0.34);
  from_left = std::max(from_left, height * 1.1);
  if (plan.number_end == "right") from_left = l - from_left;
  const double wander = dice.uniform(0.3, 3);
  const bool capacities = dice.chance(0.45);
  const double capacity_x = l * dice.uniform(0.1, 0.9);
  const double capacity_height = std::clamp(dice.uniform(0.2, 0.5) * t, 4.0, 11.0);
  const int capacity_turn = dice.pick({0, 180, 90, 270});
  const double capacity_share = dice.uniform(0.2, 1);
  for (std::size_t k = 0; k < plan.stack.size(); ++k) {
    Module& m = plan.stack[k];
    const auto write = [&](const std::string& text, double x, double h, int turn, bool sequence) {
      Writing w;
      w.text = text;
      w.x = x + dice.normal(wander);
      w.y = t / 2 + dice.normal(0.05 * t);
      w.height = h * dice.uniform(0.85, 1.15);
      w.rotation_deg = turn;
      w.tilt_deg = dice.normal(3);
      w.sequence = sequence;
      if (m.turned) w.x = l - w.x, w.y = t - w.y, w.rotation_deg = (turn + 180) % 360;
      m.writings.push_back(w);
    };
    if (plan.has_number && !texts[k].empty())
      write(texts[k], from_left, height, plan.number_rotation, true);
    if (capacities && dice.chance(capacity_share) && std::abs(capacity_x - from_left) > l * 0.14)
      write(std::to_string(dice.whole(3000, 7200)), capacity_x, capacity_height, capacity_turn,
            false);
    if (plan.has_number && dice.chance(0.04)) {
      const double x = l * dice.uniform(0.08, 0.92);
      if (std::abs(x - from_left) > l * 0.15 &&
          (!capacities || std::abs(x - capacity_x) > l * 0.15))
        write(std::to_string(dice.whole(1, 99)), x, height, dice.pick({0, 90, 180, 270}), false);
    }
  }
}

void place_along_axis(Dice& dice, const Ask& ask, SidePlan& plan) {
  const double jitter = dice.uniform(0.05, 0.35), seat = dice.uniform(0, 0.35);
  double y = 0;
  for (Module& m : plan.stack) {
    m.stagger = std::clamp(dice.normal(jitter), -0.7, 0.7);
    m.gap_after = std::abs(dice.normal(seat));
    if (ask.training && dice.chance(0.06)) m.stagger = dice.normal(3);
    if (ask.training && dice.chance(0.04)) m.gap_after = dice.uniform(1, 7);
  }
  displace(dice, ask, plan);
  for (Module& m : plan.stack) {
    m.top = y;
    y += plan.pitch + m.gap_after;
  }
}

std::string choose_capture(Dice& dice, const Ask& ask) {
  if (ask.capture_fault == "any")
    return dice.chance(0.7)
               ? "none"
               : dice.pick({std::string("blur"), std::string("glare"), std::string("crop"),
                            std::string("dark"), std::string("occlusion")});
  return ask.capture_fault.empty() ? "none" : ask.capture_fault;
}

}  // namespace

double SidePlan::axis_mm() const {
  return stack.back().top + thickness;
}

SidePlan plan_side(Dice& dice, const Ask& ask) {
  SidePlan plan;
  choose_pack(dice, ask, plan);
  choose_rules(dice, plan);
  plan.fault = ask.fault.empty()    ? "none"
               : ask.fault == "any" ? dice.pick(fault_names())
                                    : ask.fault;
  plan.capture_fault = choose_capture(dice, ask);
  if (plan.fault == "stack.reversed") plan.slot_1_up = true, plan.slot_1_at = "bottom";
  plan.declared_modules = plan.modules;
  plan.stack.resize(static_cast<std::size_t>(plan.modules));
  plan.texts = ask.training ? random_numbers(dice, plan) : number_texts(dice, plan);
  for (std::size_t k = 0; k < plan.stack.size(); ++k)
    plan.stack[k].flipped = (k % 2 == 1) != plan.stack[k].turned;
  place_along_axis(dice, ask, plan);
  place_marks(dice, plan);
  place_numbers(dice, plan.texts, plan);
  return plan;
}

}  // namespace scene
