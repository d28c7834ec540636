#include "plan.hpp"

#include <algorithm>
#include <cmath>

#include "faults.hpp"
#include "place.hpp"

namespace scene {
namespace {

struct Family {
  double length, height, thickness;
};

void choose_pack(Dice& dice, const Ask& ask, SidePlan& plan) {
  const Family family =
      dice.pick({Family{285, 118, 19.6}, Family{285, 118, 19.6}, Family{250, 132, 21.5},
                 Family{220, 110, 24}, Family{160, 100, 30}, Family{180, 125, 27}});
  const bool large = dice.chance(0.05);  // few and thick, mostly with spacers between them
  const double vary = dice.chance(0.35) ? dice.uniform(0.85, 1.2) : 1;
  plan.length = std::round(family.length * vary);
  plan.height = std::round(family.height * (dice.chance(0.3) ? dice.uniform(0.85, 1.2) : 1));
  plan.thickness =
      std::round(10 * family.thickness * (dice.chance(0.3) ? dice.uniform(0.8, 1.25) : 1)) / 10;
  if (large) {
    plan.length = std::round(dice.uniform(140, 220));
    plan.thickness = std::round(dice.uniform(30, 55));
  }
  plan.pitch = plan.thickness +
               (dice.chance(large ? 0.7 : 0.1) ? std::round(dice.uniform(1, large ? 12 : 8)) : 0);
  plan.modules = ask.modules > 0     ? ask.modules
                 : large             ? dice.whole(4, 12)
                 : dice.chance(0.55) ? dice.whole(24, 40)
                 : dice.chance(0.75) ? dice.whole(10, 24)
                                     : dice.whole(4, 10);
  plan.kind =
      !ask.side.empty()
          ? ask.side
          : dice.pick({std::string("number"), std::string("vent"), std::string("top"),
                       std::string("top"), std::string("terminal"), std::string("terminal")});
  plan.name = plan.kind;
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
                  : dice.chance(0.05) ? 11  // two bare strokes: the hardest to read
                  : dice.chance(0.12) ? dice.whole(100, 999)
                                      : dice.whole(10, 99);
    texts.push_back(dice.chance(0.04) ? "" : std::to_string(n));
  }
  return texts;
}

void place_along_axis(Dice& dice, const Ask& ask, SidePlan& plan) {
  const double jitter = dice.uniform(0.05, 0.35), seat = dice.uniform(0, 0.35);
  for (Module& m : plan.stack) {
    m.stagger = std::clamp(dice.normal(jitter), -0.7, 0.7);
    m.gap_after = std::abs(dice.normal(seat));
    if (ask.training && dice.chance(0.06)) m.stagger = dice.normal(3);
    if (ask.training && dice.chance(0.04)) m.gap_after = dice.uniform(1, 7);
  }
  displace(dice, plan.fault, ask.stagger_mm, plan);
  lay_along_axis(plan);
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
  plan.texts = ask.training ? random_numbers(dice, plan) : plain_texts(plan);
  if (!ask.training) disorder(dice, plan.fault, plan, plan.texts);
  for (std::size_t k = 0; k < plan.stack.size(); ++k)
    plan.stack[k].flipped = (k % 2 == 1) != plan.stack[k].turned;
  place_along_axis(dice, ask, plan);
  place_marks(dice, plan);
  // Training sees some written across them, too: what hides a part of a number is not read.
  if (ask.training && dice.chance(0.05))
    place_writings(dice, plan, 1);
  else
    place_writings(dice, plan);
  return plan;
}

}  // namespace scene
