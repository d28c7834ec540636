#include "stack_plan.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "faults.hpp"
#include "place.hpp"

namespace scene {
namespace {

using plumbstack::Result;

// Without a limit nothing is over it.
constexpr double kNoLimit = std::numeric_limits<double>::infinity();

struct Stack {
  SidePlan plan;               // the modules; shifts are along their length
  std::vector<double> across;  // mm, shift across the length, seen on the end sides
};

bool asked(const StackAsk& ask, const char* fault) {
  return std::count(ask.faults.begin(), ask.faults.end(), fault) > 0;
}

void seat_modules(Dice& dice, Stack& stack) {
  // Well under any limit: a stack is pushed together along a rail.
  const double jitter = dice.uniform(0.04, 0.14), seat = dice.uniform(0, 0.25);
  const auto shift = [&] { return std::clamp(dice.normal(jitter), -0.3, 0.3); };
  for (Module& m : stack.plan.stack) {
    m.stagger = shift();
    m.gap_after = std::min(std::abs(dice.normal(seat)), 0.6);
    m.plastic = static_cast<std::uint64_t>(dice.whole(1, 1 << 30));
    stack.across.push_back(shift());
  }
}

int first_number(const plumbstack::Pack& pack) {
  for (const plumbstack::Side& side : pack.sides)
    if (side.number) return side.number->first;
  return 1;
}

Stack lay_out(Dice& dice, const plumbstack::Pack& pack, const StackAsk& ask) {
  Stack stack;
  SidePlan& plan = stack.plan;
  plan.modules = pack.modules - asked(ask, "count.short") + asked(ask, "count.long");
  plan.declared_modules = plan.modules;
  plan.length = pack.module_mm.length;
  plan.height = pack.module_mm.height;
  plan.thickness = pack.module_mm.thickness;
  plan.pitch = pack.module_mm.pitch;
  plan.stagger_limit = pack.stagger_limit_mm.value_or(kNoLimit);
  plan.gap_limit = pack.seat_gap_limit_mm.value_or(kNoLimit);
  plan.slot_1_up = pack.slot_1_up;
  plan.slot_1_at = asked(ask, "stack.reversed") ? "bottom" : "top";
  plan.first = first_number(pack);
  plan.stack.resize(static_cast<std::size_t>(plan.modules));
  plan.texts = plain_texts(plan);
  seat_modules(dice, stack);
  plan.fault = ask.faults.empty() ? "none" : "";
  for (const std::string& fault : ask.faults) {
    plan.fault += (plan.fault.empty() ? "" : ",") + fault;
    disorder(dice, fault, plan, plan.texts);
    displace(dice, fault, ask.stagger_mm, plan);
  }
  for (std::size_t k = 0; k < plan.stack.size(); ++k)
    plan.stack[k].flipped = (k % 2 == 1) != plan.stack[k].turned;
  lay_along_axis(plan);
  return stack;
}

std::string end_name(const std::optional<plumbstack::End>& end) {
  return end ? plumbstack::name_of(*end) : "any";
}

// The end sides are those as long as a module is high, that show one terminal a module.
bool is_end_side(const plumbstack::Pack& pack, const plumbstack::Side& side) {
  const double as_height = std::abs(side.strip_mm - pack.module_mm.height),
               as_length = std::abs(side.strip_mm - pack.module_mm.length);
  return side.sign && !side.sign->end && !side.vent && as_height < as_length;
}

void set_rules(const plumbstack::Pack& pack, const plumbstack::Side& side, SidePlan& plan) {
  using plumbstack::MarkColor;
  using plumbstack::Sign;
  plan.name = side.name;
  plan.kind = is_end_side(pack, side)    ? "terminal"
              : side.number && side.vent ? "top"
              : side.number              ? "number"
                                         : "vent";
  plan.strip = side.strip_mm;
  plan.has_number = side.number.has_value();
  plan.has_vent = side.vent.has_value();
  plan.has_sign = side.sign.has_value();
  plan.number_end = side.number ? end_name(side.number->end) : "any";
  if (side.number) plan.number_rotation = side.number->rotation_deg;
  plan.vent_slot_1_end = side.vent ? plumbstack::name_of(side.vent->slot_1_end) : "left";
  if (!side.sign) return;
  plan.sign_slot_1 = *plumbstack::name_of(side.sign->slot_1);
  plan.sign_end = end_name(side.sign->end);
  const auto& colors = side.sign->colors;
  plan.red_plus = colors.contains(Sign::plus);
  plan.coloured_minus = colors.contains(Sign::minus);
  if (plan.coloured_minus)
    plan.minus_color = colors.at(Sign::minus) == MarkColor::blue ? "blue" : "black";
}

bool can_be_coloured(const plumbstack::Side& side) {
  using plumbstack::MarkColor;
  using plumbstack::Sign;
  if (!side.sign || side.sign->colors.empty()) return true;
  const auto& colors = side.sign->colors;
  const auto plus = colors.find(Sign::plus), minus = colors.find(Sign::minus);
  return plus != colors.end() && plus->second == MarkColor::red &&
         (minus == colors.end() || minus->second == MarkColor::blue ||
          minus->second == MarkColor::black);
}

// The second side of a pair is seen from behind: what is shifted to the right there is so to the
// left here, and so are the terminals, which stand at the same height of both ends.
SidePlan side_plan(Dice& dice, const plumbstack::Pack& pack, const plumbstack::Side& side,
                   const Stack& stack, bool from_behind) {
  SidePlan plan = stack.plan;
  set_rules(pack, side, plan);
  const bool end_side = plan.kind == "terminal";
  for (std::size_t k = 0; k < plan.stack.size(); ++k) {
    double& shift = plan.stack[k].stagger;
    if (end_side) shift = stack.across[k];
    if (from_behind) shift = -shift;
  }
  place_marks(dice, plan);
  if (end_side && from_behind)
    for (Module& m : plan.stack)
      for (MarkAt& mark : m.marks) mark.x = plan.strip - mark.x;
  place_writings(dice, plan);
  return plan;
}

// Whether the plan shows the fault, told by the findings that follow from its states.
bool shows(const SidePlan& plan, const std::string& fault) {
  const auto found = findings_of(plan, plan.texts);
  const auto has = [&](std::string_view code) {
    return std::any_of(found.begin(), found.end(),
                       [&](const auto& finding) { return finding["code"] == code; });
  };
  if (fault == "number.order_odd" || fault == "number.moved") return has("number.order");
  if (fault == "turned") return has("number.rotation") || has("vent.repeat") || has("sign.repeat");
  return has(fault);
}

}  // namespace

Result<std::vector<SidePlan>> plan_stack(Dice& dice, const plumbstack::Pack& pack,
                                         const StackAsk& ask) {
  using plumbstack::ErrorCode;
  using plumbstack::fail;
  for (const std::string& fault : ask.faults)
    if (std::count(fault_names().begin(), fault_names().end(), fault) == 0 || fault == "none")
      return fail(ErrorCode::usage, "no fault has the name " + fault);
  if (!ask.spoilt_side.empty() && !pack.side(ask.spoilt_side))
    return fail(ErrorCode::usage, "the pack has no side " + ask.spoilt_side);
  static const std::set<std::string> kCaptureFaults{"none", "blur", "glare",
                                                    "crop", "dark", "occlusion"};
  if (!kCaptureFaults.contains(ask.capture_fault))
    return fail(ErrorCode::usage, "no capture fault has the name " + ask.capture_fault);
  Stack stack = lay_out(dice, pack, ask);
  if (!pack.slot_1_up)
    stack.plan.slot_1_at = dice.pick(
        {std::string("top"), std::string("bottom"), std::string("left"), std::string("right")});
  const auto terminals = static_cast<std::uint64_t>(dice.whole(1, 1 << 30));
  std::vector<SidePlan> plans;
  int long_sides = 0, end_sides = 0;
  for (const plumbstack::Side& side : pack.sides) {
    if (!can_be_coloured(side))
      return fail(ErrorCode::usage, "signs are drawn red for plus, blue or black for minus",
                  "sides." + side.name + ".sign.colors");
    const bool end_side = is_end_side(pack, side);
    Dice of_side(end_side ? terminals : static_cast<std::uint64_t>(dice.whole(1, 1 << 30)));
    const bool from_behind = (end_side ? end_sides : long_sides)++ % 2 == 1;
    plans.push_back(side_plan(of_side, pack, side, stack, from_behind));
    if (side.name == ask.spoilt_side) plans.back().capture_fault = ask.capture_fault;
  }
  for (const std::string& fault : ask.faults)
    if (std::none_of(plans.begin(), plans.end(),
                     [&](const SidePlan& plan) { return shows(plan, fault); }))
      return fail(ErrorCode::usage,
                  "no side shows " + fault + " here: another pack, or another seed");
  return plans;
}

}  // namespace scene
