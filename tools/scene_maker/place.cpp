#include "place.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

// How the writing of one stack is laid out; all modules agree.
struct WritingRule {
  double height = 10, from_left = 0, wander = 1;  // mm
  bool capacities = false;
  double capacity_x = 0, capacity_height = 6;  // mm
  int capacity_turn = 0;
  double capacity_share = 0;  // of the modules
};

WritingRule choose_rule(Dice& dice, const SidePlan& plan) {
  const double l = plan.strip, t = plan.thickness;
  WritingRule rule;
  const bool along = plan.number_rotation % 180 == 0;
  // Across the strip one digit may be as tall as one along it; more digits are written smaller.
  const double tall = (along ? dice.uniform(0.38, 0.8) : dice.uniform(0.3, 0.85)) * t;
  rule.height = std::clamp(tall, 6.0, 17.0);
  rule.from_left =
      plan.number_end == "any" ? l * dice.uniform(0.25, 0.75) : l * dice.uniform(0.06, 0.34);
  rule.from_left = std::max(rule.from_left, rule.height * 1.1);
  if (plan.number_end == "right") rule.from_left = l - rule.from_left;
  rule.wander = dice.uniform(0.3, 3);
  rule.capacities = dice.chance(0.45);
  rule.capacity_x = l * dice.uniform(0.1, 0.9);
  rule.capacity_height = std::clamp(dice.uniform(0.2, 0.5) * t, 4.0, 11.0);
  rule.capacity_turn = dice.pick({0, 180, 90, 270});
  rule.capacity_share = dice.uniform(0.2, 1);
  return rule;
}

Writing written(Dice& dice, const SidePlan& plan, const Module& m, const WritingRule& rule,
                const std::string& text, double x, double height, int turn) {
  Writing w;
  w.text = text;
  w.x = x + dice.normal(rule.wander);
  w.y = plan.thickness / 2 + dice.normal(0.05 * plan.thickness);
  w.height = height * dice.uniform(0.85, 1.15);
  w.rotation_deg = turn;
  w.tilt_deg = dice.normal(3);
  if (m.turned != m.miswritten)
    w.x = plan.strip - w.x, w.y = plan.thickness - w.y, w.rotation_deg = (turn + 180) % 360;
  return w;
}

bool writes_over_marks(const SidePlan& plan) {
  constexpr double kClear = 9;  // mm
  for (const Module& m : plan.stack)
    for (const Writing& w : m.writings) {
      const bool lengthwise = w.rotation_deg % 180 == 0;
      const double digits = static_cast<double>(w.text.size());
      const double half = w.height / 2 * (lengthwise ? 0.8 * digits : 1);
      for (const MarkAt& mark : m.marks)
        if (std::abs(w.x - mark.x) < half + kClear) return true;
    }
  return false;
}

void lay_writings(Dice& dice, SidePlan& plan) {
  const double l = plan.strip;
  const WritingRule rule = choose_rule(dice, plan);
  for (std::size_t k = 0; k < plan.stack.size(); ++k) {
    Module& m = plan.stack[k];
    const auto write = [&](const std::string& text, double x, double height, int turn) {
      m.writings.push_back(written(dice, plan, m, rule, text, x, height, turn));
    };
    if (plan.has_number && !plan.texts[k].empty()) {
      write(plan.texts[k], rule.from_left, rule.height, plan.number_rotation);
      m.writings.back().sequence = true;
    }
    if (rule.capacities && dice.chance(rule.capacity_share) &&
        std::abs(rule.capacity_x - rule.from_left) > l * 0.14)
      write(std::to_string(dice.whole(3000, 7200)), rule.capacity_x, rule.capacity_height,
            rule.capacity_turn);
    if (plan.has_number && dice.chance(0.04)) {
      const double x = l * dice.uniform(0.08, 0.92);
      if (std::abs(x - rule.from_left) > l * 0.15 &&
          (!rule.capacities || std::abs(x - rule.capacity_x) > l * 0.15)) {
        const int turn = dice.pick({0, 90, 180, 270});
        write(std::to_string(dice.whole(1, 99)), x, rule.height, turn);
      }
    }
  }
}

}  // namespace

void lay_along_axis(SidePlan& plan) {
  double y = 0;
  for (Module& m : plan.stack) {
    m.top = y;
    y += plan.pitch + m.gap_after;
  }
}

void place_marks(Dice& dice, SidePlan& plan) {
  const double t = plan.thickness, l = plan.strip;
  double sign_x = dice.uniform(6, 14) + (dice.chance(0.2) ? l * 0.08 : 0);
  // Studs through bright plates, on the place of the sign or beside it along the strip.
  plan.face_studs = plan.kind == "top" && plan.has_sign && dice.chance(0.2);
  const double stud_off =
      plan.face_studs && dice.chance(0.6) ? dice.pick({-1, 1}) * dice.uniform(8, 13) : 0;
  if (stud_off < 0) sign_x = std::max(sign_x, 6 - stud_off);
  const double outermost =
      std::max(t * 0.35, plan.has_sign ? sign_x + std::max(stud_off, 0.0) + 12 : 0);
  const double vent_x = std::max(outermost, l * dice.uniform(0.03, 0.36));
  const double vent_y = t * dice.uniform(0.38, 0.62);
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
    const char right = left == '+' ? '-' : '+';
    const double left_y = m.flipped ? t - sign_y : sign_y;
    const auto stud_of = [](char sign) { return sign == '+' ? 'p' : 'm'; };
    if (plan.face_studs) {
      m.marks.push_back({sign_x + stud_off, left_y, stud_of(left)});
      m.marks.push_back({l - sign_x - stud_off, t - left_y, stud_of(right)});
    }
    const bool hidden = plan.face_studs && stud_off == 0;
    m.marks.push_back({sign_x, left_y, left, hidden});
    m.marks.push_back({l - sign_x, t - left_y, right, hidden});
  }
}

void place_writings(Dice& dice, SidePlan& plan, int tries) {
  do {
    for (Module& m : plan.stack) m.writings.clear();
    lay_writings(dice, plan);
  } while (--tries > 0 && writes_over_marks(plan));
}

}  // namespace scene
