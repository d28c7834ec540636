// Advice with the fewest modules out of the frame: those on a longest increasing run of numbers
// stay, the rest are lifted and put back where their number belongs. Going an odd number of slots
// along needs a turn, since neighbours stand opposite ways; a module that already stands wrongly
// needs one more, and two turns are none.
#include <algorithm>
#include <cstdlib>

#include "rules.hpp"

namespace plumbstack {
namespace {

std::optional<bool> turned_by_any(const std::vector<SideCase>& cases, int slot) {
  for (const SideCase& c : cases)
    if (c.evidence.marks.slots.size() == static_cast<std::size_t>(c.pack.modules))
      if (const auto is = turned(c, slot)) return is;
  return std::nullopt;
}

// Target slot of the module in each slot; empty unless every number is known, distinct and in
// range.
std::vector<int> targets(const std::vector<SideCase>& cases) {
  for (const SideCase& c : cases) {
    if (!c.side.number || c.evidence.marks.slots.size() != static_cast<std::size_t>(c.pack.modules))
      continue;
    std::vector<int> to;
    std::vector<bool> taken(static_cast<std::size_t>(c.pack.modules), false);
    for (int slot = 1; slot <= c.pack.modules; ++slot) {
      const auto number = trusted_number(c, slot);
      const int target = number ? *number - c.side.number->first + 1 : 0;
      if (target < 1 || target > c.pack.modules || taken[static_cast<std::size_t>(target - 1)])
        return {};
      taken[static_cast<std::size_t>(target - 1)] = true;
      to.push_back(target);
    }
    return to;
  }
  return {};
}

// @param stays the module keeps its place among the others; it only turns, or slides along
std::string step_text(const RepairStep& step, bool stays) {
  const std::string from = std::to_string(step.from_slot), to = std::to_string(step.to_slot);
  if (stays && step.from_slot == step.to_slot)
    return "turn the module in slot " + from + " end for end";
  if (step.from_slot == step.to_slot)
    return "lift the module in slot " + from + " and put it back there" +
           (step.turn ? ", turned end for end" : ", the same way round");
  return "lift the module in slot " + from + " and put it in slot " + to +
         (step.turn ? ", turned end for end" : ", the same way round");
}

}  // namespace

bool only_order_is_wrong(const SideCase& c) {
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const auto by_vent = turned_by_vent(c, slot), by_sign = turned_by_sign(c, slot),
               by_number = turned_by_number(c, slot);
    if ((by_vent && *by_vent) || (by_sign && *by_sign) || (by_number && *by_number)) return false;
    if (!by_vent && !by_sign && !by_number) return false;
  }
  return true;
}

std::vector<RepairStep> repair_steps(const std::vector<SideCase>& cases) {
  if (cases.empty()) return {};
  const int modules = cases.front().pack.modules;
  std::vector<int> to = targets(cases);
  if (to.empty()) {  // the order can't be told: only the turns
    for (int slot = 1; slot <= modules; ++slot) to.push_back(slot);
  } else if (!std::is_sorted(to.begin(), to.end()) &&
             std::all_of(cases.begin(), cases.end(),
                         [](const SideCase& c) { return only_order_is_wrong(c); })) {
    return {};
  }
  std::vector<bool> stays(to.size(), false);
  for (std::size_t kept : longest_increasing_subsequence(to)) stays[kept] = true;
  std::vector<RepairStep> steps;
  for (int slot = 1; slot <= modules; ++slot) {
    const auto now = turned_by_any(cases, slot);
    const int target = to[static_cast<std::size_t>(slot - 1)];
    RepairStep step{slot, target, ((target - slot) % 2 != 0) != (now && *now), ""};
    if (!stays[static_cast<std::size_t>(slot - 1)] || step.turn) {
      step.text = step_text(step, stays[static_cast<std::size_t>(slot - 1)]);
      steps.push_back(step);
    }
  }
  return steps;
}

}  // namespace plumbstack
