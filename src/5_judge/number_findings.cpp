#include <algorithm>
#include <map>

#include "rules.hpp"

namespace plumbstack {
namespace {

struct Sorted {  // slots by what their number is
  std::vector<int> order, foreign, missing, unsure, doubtful, wrong_end, wrong_turn;
  std::map<int, std::vector<int>> owners;  // of each trusted number
};

Sorted sort_slots(const SideCase& c) {
  Sorted sorted;
  const NumberRule& rule = *c.side.number;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const SlotMarks& marks = c.at(slot);
    if (!marks.seen) continue;
    if (!known(marks.number, c.bar)) {
      const bool blank = !marks.number.text && marks.number.place_seen;
      (blank ? sorted.missing : sorted.unsure).push_back(slot);
      continue;
    }
    if (doubtful_number(c, slot)) {
      sorted.doubtful.push_back(slot);
      continue;
    }
    const auto home = home_slot(c, slot);
    if (!home || *home < 1 || *home > c.pack.modules)
      sorted.foreign.push_back(slot);
    else if (*home != slot)
      sorted.order.push_back(slot);
    if (home) sorted.owners[*home].push_back(slot);
    if (rule.end && marks.number.end && *marks.number.end != *rule.end)
      sorted.wrong_end.push_back(slot);
    if (marks.number.rotation_deg != rule.rotation_deg) sorted.wrong_turn.push_back(slot);
  }
  return sorted;
}

std::string joined(const std::vector<std::string>& said, const char* many) {
  constexpr std::size_t kMost = 6;
  std::string text;
  for (std::size_t i = 0; i < said.size() && i < kMost; ++i)
    text += (i == 0 ? "" : i + 1 == said.size() ? " and " : ", ") + said[i];
  if (said.size() > kMost) text += ", and " + std::to_string(said.size() - kMost) + many;
  return text;
}

// "slot 3 reads 5 and slot 5 reads 3"
std::string readings_text(const SideCase& c, const std::vector<int>& slots) {
  std::vector<std::string> said;
  for (const int slot : slots)
    said.push_back(slots_text({slot}) + " reads " + *c.at(slot).number.text);
  return joined(said, " more are out of order");
}

// "slot 3 may read 5 and the number of slot 4 may stand wrong"
std::string doubts_text(const SideCase& c, const std::vector<int>& slots) {
  std::vector<std::string> said;
  for (const int slot : slots)
    said.push_back(home_slot(c, slot) == slot
                       ? "the number of " + slots_text({slot}) + " may stand wrong"
                       : slots_text({slot}) + " may read " + *c.at(slot).number.text);
  return joined(said, " more are not clear");
}

Finding make(const SideCase& c, const char* code, Severity severity, std::vector<int> slots,
             std::string message, std::string action) {
  return {code, severity, c.side.name, std::move(slots), std::move(message), std::move(action)};
}

void out_of_place(const SideCase& c, const Sorted& s, const RepairPlan& plan,
                  std::vector<Finding>& found) {
  if (!s.order.empty())
    found.push_back(make(c, "number.order", Severity::fix, s.order, readings_text(c, s.order),
                         advice(plan, s.order,
                                "settle the unread, missing and double numbers first, then put "
                                "each module in its own slot; "
                                "compare with the plan the serials of")));
  for (const auto& [home, slots] : s.owners)
    if (slots.size() > 1)
      found.push_back(make(c, "number.duplicate", Severity::fix, slots,
                           slots_text(slots) + (slots.size() == 2 ? " both read " : " all read ") +
                               *c.at(slots[0]).number.text,
                           "compare the serials of " + slots_text(slots) +
                               " with the plan: only one module can have this number"));
}

void not_of_this_pack(const SideCase& c, const Sorted& s, std::vector<Finding>& found) {
  const int first = c.side.number->first, last = first + c.pack.modules - 1;
  for (int slot : s.foreign)
    found.push_back(make(c, "number.foreign", Severity::fix, {slot},
                         slots_text({slot}) + " reads " + *c.at(slot).number.text +
                             ", this pack has " + std::to_string(first) + " to " +
                             std::to_string(last),
                         "compare the serial of " + modules_text({slot}) +
                             " with the plan: put in the right module, or renumber it"));
  for (int slot : s.missing)
    found.push_back(
        make(c, "number.missing", Severity::fix, {slot}, slots_text({slot}) + " has no number",
             "compare the serial of " + modules_text({slot}) + " with the plan and number it"));
}

}  // namespace

std::vector<Finding> number_findings(const SideCase& c, const RepairPlan& plan) {
  std::vector<Finding> found;
  if (!c.side.number) return found;
  const Sorted s = sort_slots(c);
  out_of_place(c, s, plan, found);
  not_of_this_pack(c, s, found);
  // Where the plan turns nothing, the module stands right and only the writing is wrong.
  const std::string rewrite = "compare the serial with the plan and write the number anew on";
  if (!s.wrong_end.empty())
    found.push_back(make(c, "number.end", Severity::fix, s.wrong_end,
                         "the number of " + slots_text(s.wrong_end) + " is at the other end",
                         advice(plan, s.wrong_end, rewrite)));
  if (!s.wrong_turn.empty())
    found.push_back(
        make(c, "number.rotation", Severity::fix, s.wrong_turn,
             "the number of " + slots_text(s.wrong_turn) + " stands another way up than it should",
             advice(plan, s.wrong_turn, rewrite)));
  if (!s.doubtful.empty())
    found.push_back(make(c, "number.doubtful", Severity::retake, s.doubtful,
                         doubts_text(c, s.doubtful) + ": not clear enough to be sure",
                         "look at " + modules_text(s.doubtful) +
                             ": put right what is wrong, wipe the numbers, move closer and "
                             "photograph again"));
  if (!s.unsure.empty())
    found.push_back(
        make(c, "number.unsure", Severity::retake, s.unsure,
             "the number of " + slots_text(s.unsure) + " can't be read with trust",
             "wipe the numbers, move closer and photograph again, or have a person confirm them"));
  return found;
}

}  // namespace plumbstack
