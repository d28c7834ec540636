// Stacks and photos of them, made by hand for the judge's tests: modules as they stand, turned into
// the marks that each side would show.
#pragma once

#include <algorithm>
#include <numeric>
#include <string>
#include <vector>

#include "plumbstack/judge.hpp"

namespace plumbstack::test {

struct Module {
  int number = 0;       // also the slot where it belongs
  bool turned = false;  // end for end against how it stood when it was numbered
  bool operator==(const Module&) const = default;
};
using Stack = std::vector<Module>;  // slot 1 first

inline Stack right_stack(int modules) {
  Stack stack(static_cast<std::size_t>(modules));
  for (int i = 0; i < modules; ++i) stack[static_cast<std::size_t>(i)].number = i + 1;
  return stack;
}

inline Side numbers_side(const std::string& name) {
  Side side;
  side.name = name;
  side.strip_mm = 285;
  side.number = NumberRule{1, End::right, 180};
  return side;
}

inline Side signs_side(const std::string& name, Sign slot_1) {
  Side side;
  side.name = name;
  side.strip_mm = 118;
  side.sign = SignRule{slot_1, std::nullopt, {}};
  return side;
}

inline Pack bare_pack(int modules) {
  Pack pack;
  pack.modules = modules;
  pack.module_mm = {285, 118, 19.6, 19.6};
  pack.stagger_limit_mm = 1;
  pack.seat_gap_limit_mm = 2.5;
  return pack;
}

/// Numbers, vents and signs on one side, "top".
inline Pack one_side(int modules) {
  Pack pack = bare_pack(modules);
  Side top = numbers_side("top");
  top.vent = VentRule{End::left};
  top.sign = SignRule{Sign::plus, End::left, {}};
  pack.sides = {top};
  pack.required_sides = {"top"};
  return pack;
}

/// Sides "number", "vent" (vents and signs), "a" and "b" (signs).
inline Pack four_sides(int modules) {
  Pack pack = bare_pack(modules);
  Side vent = signs_side("vent", Sign::plus);
  vent.vent = VentRule{End::left};
  pack.sides = {numbers_side("number"), vent, signs_side("a", Sign::plus),
                signs_side("b", Sign::minus)};
  pack.required_sides = {"number", "vent", "a", "b"};
  return pack;
}

/// What a good photo of one side shows of these modules. A module carries its vent and signs with
/// it: at home and not turned they are what the pack names for its slot.
inline SideEvidence photo_of(const Pack& pack, const std::string& side_name, const Stack& stack) {
  const Side& side = *std::find_if(pack.sides.begin(), pack.sides.end(),
                                   [&](const Side& s) { return s.name == side_name; });
  SideEvidence photo;
  photo.side = side_name;
  photo.stack_found = true;
  photo.modules_counted = static_cast<int>(stack.size());
  photo.slot_1_at = Edge::top;
  for (const Module& module : stack) {
    SlotMarks slot;
    slot.seen = true;
    const bool as_slot_1 = (module.number % 2 == 1) != module.turned;
    if (side.number) {
      const NumberRule& rule = *side.number;
      slot.number.text = std::to_string(rule.first + module.number - 1);
      slot.number.confidence = 1;
      slot.number.place_seen = true;
      slot.number.rotation_deg = (rule.rotation_deg + (module.turned ? 180 : 0)) % 360;
      if (rule.end) slot.number.end = module.turned ? other(*rule.end) : *rule.end;
    }
    if (side.vent) {
      slot.vent.end = as_slot_1 ? side.vent->slot_1_end : other(side.vent->slot_1_end);
      slot.vent.confidence = 1;
    }
    if (side.sign) {
      slot.sign.sign = as_slot_1 ? side.sign->slot_1 : other(side.sign->slot_1);
      slot.sign.confidence = 1;
    }
    slot.stagger_mm = 0.1;
    slot.stagger_sd_mm = 0.1;
    slot.gap_mm = 0.3;
    photo.marks.slots.push_back(slot);
  }
  if (!photo.marks.slots.empty()) photo.marks.slots.back().gap_mm.reset();
  return photo;
}

inline std::vector<SideEvidence> photos_of(const Pack& pack, const Stack& stack) {
  std::vector<SideEvidence> photos;
  for (const Side& side : pack.sides) photos.push_back(photo_of(pack, side.name, stack));
  return photos;
}

inline SlotMarks& at(SideEvidence& photo, int slot) {
  return photo.marks.slots[static_cast<std::size_t>(slot - 1)];
}

/// All findings of one code.
inline std::vector<Finding> with_code(const Judgement& judgement, const std::string& code) {
  std::vector<Finding> some;
  for (const Finding& f : judgement.findings)
    if (f.code == code) some.push_back(f);
  return some;
}

/// Carries the steps out by hand: everything that is to be lifted is lifted, what stays slides
/// together in its order, and what was lifted is put where the step says. A step that can't be
/// carried out leaves an empty stack.
inline Stack carried_out(const Stack& stack, const std::vector<RepairStep>& steps) {
  Stack after(stack.size());
  std::vector<bool> lifted(stack.size(), false), filled(stack.size(), false);
  for (const RepairStep& step : steps) {
    const auto from = static_cast<std::size_t>(step.from_slot - 1),
               to = static_cast<std::size_t>(step.to_slot - 1);
    if (from >= stack.size() || to >= stack.size() || lifted[from] || filled[to]) return {};
    lifted[from] = filled[to] = true;
    after[to] = stack[from];
    if (step.turn) after[to].turned = !after[to].turned;
  }
  std::size_t to = 0;
  for (std::size_t from = 0; from < stack.size(); ++from) {
    if (lifted[from]) continue;
    while (filled[to]) ++to;
    filled[to] = true;
    after[to] = stack[from];
  }
  return after;
}

/// Modules that changed places without a turn, each by an even number of slots, look right in all
/// but their number: the advice is to compare serials. Here they are taken for renumbered.
inline Stack renumbered(Stack stack) {
  for (std::size_t start = 0; start < stack.size(); ++start) {
    std::vector<std::size_t> ring{start};
    while (static_cast<std::size_t>(stack[ring.back()].number - 1) != start)
      ring.push_back(static_cast<std::size_t>(stack[ring.back()].number - 1));
    bool looks_right = true;
    for (std::size_t i : ring)
      looks_right &= !stack[i].turned && (stack[i].number - 1 - static_cast<int>(i)) % 2 == 0;
    for (std::size_t i : ring)
      if (looks_right) stack[i].number = static_cast<int>(i) + 1;
  }
  return stack;
}

}  // namespace plumbstack::test
