#include <algorithm>
#include <map>

#include "rules.hpp"

namespace plumbstack {
namespace {

std::string quoted(const SideCase& c, int slot) {
  return *c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)].number.text;
}

struct Sorted {  // slots by what their number is
  std::vector<int> order, foreign, missing, unsure, wrong_end, wrong_turn;
  std::map<std::string, std::vector<int>> owners;
};

Sorted sort_slots(const SideCase& c) {
  Sorted sorted;
  const NumberRule& rule = *c.side.number;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
    if (!marks.seen) continue;
    if (!marks.number.text && marks.number.place_seen) {
      sorted.missing.push_back(slot);
      continue;
    }
    if (!known(marks.number, c.bar)) {
      sorted.unsure.push_back(slot);
      continue;
    }
    const auto number = trusted_number(c, slot);
    const bool in_range = number && *number >= rule.first && *number < rule.first + c.pack.modules;
    if (!in_range)
      sorted.foreign.push_back(slot);
    else if (*number != rule.first + slot - 1)
      sorted.order.push_back(slot);
    sorted.owners[number ? std::to_string(*number) : *marks.number.text].push_back(slot);
    if (rule.end && marks.number.end && *marks.number.end != *rule.end)
      sorted.wrong_end.push_back(slot);
    if (marks.number.rotation_deg != rule.rotation_deg) sorted.wrong_turn.push_back(slot);
  }
  return sorted;
}

std::string order_message(const SideCase& c, const std::vector<int>& slots) {
  std::string text;
  for (std::size_t i = 0; i < slots.size() && i < 6; ++i)
    text += (i ? ", " : "") + std::string("slot ") + std::to_string(slots[i]) + " reads " +
            quoted(c, slots[i]);
  if (slots.size() > 6) text += ", and " + std::to_string(slots.size() - 6) + " more";
  return text;
}

std::string order_action(const SideCase& c, const std::vector<int>& slots) {
  if (only_order_is_wrong(c))
    return "every module stands the right way round, so moving alone did not cause this: compare "
           "the "
           "serials with the plan and renumber " +
           slots_text(slots);
  const std::vector<RepairStep> steps = repair_steps({c});
  std::string text;
  for (std::size_t i = 0; i < steps.size() && i < 4; ++i) text += (i ? "; " : "") + steps[i].text;
  if (steps.size() > 4) text += "; and " + std::to_string(steps.size() - 4) + " more steps";
  return text.empty() ? "compare the serials in " + slots_text(slots) + " with the plan" : text;
}

Finding make(const SideCase& c, const char* code, Severity severity, std::vector<int> slots,
             std::string message, std::string action) {
  return {code, severity, c.side.name, std::move(slots), std::move(message), std::move(action)};
}

}  // namespace

std::vector<Finding> number_findings(const SideCase& c) {
  std::vector<Finding> found;
  if (!c.side.number) return found;
  const Sorted s = sort_slots(c);
  const int first = c.side.number->first, last = first + c.pack.modules - 1;
  if (!s.order.empty())
    found.push_back(make(c, "number.order", Severity::fix, s.order, order_message(c, s.order),
                         order_action(c, s.order)));
  for (const auto& [text, slots] : s.owners)
    if (slots.size() > 1)
      found.push_back(make(c, "number.duplicate", Severity::fix, slots,
                           slots_text(slots) + " both read " + text,
                           "compare the serials of " + slots_text(slots) +
                               " with the plan and renumber the wrong one"));
  for (int slot : s.foreign)
    found.push_back(make(c, "number.foreign", Severity::fix, {slot},
                         "slot " + std::to_string(slot) + " reads " + quoted(c, slot) +
                             ", this pack has " + std::to_string(first) + " to " +
                             std::to_string(last),
                         "take out the module in slot " + std::to_string(slot) +
                             ", compare its serial with the plan, and put in the right one"));
  for (int slot : s.missing)
    found.push_back(make(c, "number.missing", Severity::fix, {slot},
                         "slot " + std::to_string(slot) + " has no number",
                         "compare the serial of the module in slot " + std::to_string(slot) +
                             " with the plan and number it"));
  if (!s.wrong_end.empty())
    found.push_back(
        make(c, "number.end", Severity::fix, s.wrong_end,
             "the number of " + slots_text(s.wrong_end) + " is at the other end",
             "turn " + slots_text(s.wrong_end) + " end for end, after checking vent and sign"));
  if (!s.wrong_turn.empty())
    found.push_back(make(
        c, "number.rotation", Severity::fix, s.wrong_turn,
        "the number of " + slots_text(s.wrong_turn) + " stands another way up than the rest should",
        "turn " + slots_text(s.wrong_turn) + " end for end, after checking vent and sign"));
  if (!s.unsure.empty())
    found.push_back(
        make(c, "number.unsure", Severity::retake, s.unsure,
             "the number of " + slots_text(s.unsure) + " can't be read with trust",
             "move closer or wipe the numbers, photograph again, or have a person confirm " +
                 slots_text(s.unsure)));
  return found;
}

}  // namespace plumbstack
