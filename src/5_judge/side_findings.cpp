#include <algorithm>

#include "rules.hpp"

namespace plumbstack {
namespace {

struct WayRound {
  std::vector<int> repeat, unsure_settled, unsure_open;
};

// Which slots differ by one kind of mark, and where that mark is unsure whether the other settles
// it.
template <typename Tell, typename Other>
WayRound tell_all(const SideCase& c, Tell tell, Other other_tells) {
  WayRound found;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    if (!c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)].seen) continue;
    const std::optional<bool> is_turned = tell(c, slot);
    if (is_turned && *is_turned) found.repeat.push_back(slot);
    if (!is_turned)
      (other_tells(c, slot) ? found.unsure_settled : found.unsure_open).push_back(slot);
  }
  return found;
}

void report(const SideCase& c, const WayRound& found, const std::string& mark,
            std::vector<Finding>& into) {
  const auto add = [&](const char* what, Severity severity, const std::vector<int>& slots,
                       const std::string& message, const std::string& action) {
    if (!slots.empty())
      into.push_back({mark + what, severity, c.side.name, slots, message, action});
  };
  add(".repeat", Severity::fix, found.repeat,
      "the " + mark + " of " + slots_text(found.repeat) + " is where the neighbours' should be",
      "before any bar goes on: turn " + slots_text(found.repeat) + " end for end and check again");
  add(".unsure", Severity::note, found.unsure_settled,
      "the " + mark + " of " + slots_text(found.unsure_settled) +
          " can't be seen, the other mark settles it",
      "nothing");
  add(".unsure", Severity::retake, found.unsure_open,
      "the " + mark + " of " + slots_text(found.unsure_open) + " can't be seen with trust",
      "clear what covers it, change the angle or the light, and photograph again");
}

void count_and_direction(const SideCase& c, std::vector<Finding>& found) {
  const int seen = c.evidence.modules_counted, want = c.pack.modules;
  if (seen != want)
    found.push_back({seen < want ? "count.short" : "count.long",
                     Severity::fix,
                     c.side.name,
                     {},
                     std::to_string(seen) + " modules seen, this pack has " + std::to_string(want),
                     seen < want
                         ? "find the missing module; check that the whole stack is in the photo"
                         : "check the pack definition and take out what does not belong"});
  if (!c.evidence.slot_1_at)
    found.push_back({"stack.direction",
                     Severity::retake,
                     c.side.name,
                     {},
                     "which end is slot 1 can't be told from this photo",
                     "say at which edge slot 1 is (--slot-1), or photograph the numbers too"});
  else if (c.pack.slot_1_up && *c.evidence.slot_1_at != Edge::top)
    found.push_back({"stack.reversed",
                     Severity::fix,
                     c.side.name,
                     {},
                     std::string("slot 1 is at the ") + name_of(*c.evidence.slot_1_at) +
                         ", this pack stands with slot 1 up",
                     "turn the stack over, or check from which end it was numbered"});
}

void unseen(const SideCase& c, std::vector<Finding>& found) {
  std::vector<int> slots;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    if (c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)].seen) continue;
    const bool named =
        std::any_of(c.evidence.capture_findings.begin(), c.evidence.capture_findings.end(),
                    [&](const Finding& f) {
                      return f.severity != Severity::note &&
                             std::find(f.slots.begin(), f.slots.end(), slot) != f.slots.end();
                    });
    if (!named) slots.push_back(slot);
  }
  if (!slots.empty())
    found.push_back({"photo.covered", Severity::retake, c.side.name, slots,
                     slots_text(slots) + " can't be seen",
                     "clear the view of " + slots_text(slots) + " and photograph again"});
}

}  // namespace

std::vector<Finding> way_round_findings(const SideCase& c) {
  std::vector<Finding> found;
  if (c.side.vent) report(c, tell_all(c, turned_by_vent, turned_by_sign), "vent", found);
  if (c.side.sign) report(c, tell_all(c, turned_by_sign, turned_by_vent), "sign", found);
  return found;
}

std::vector<Finding> side_findings(const SideCase& c) {
  std::vector<Finding> found = c.evidence.capture_findings;
  if (!c.evidence.stack_found) {
    const bool named = std::any_of(found.begin(), found.end(),
                                   [](const Finding& f) { return f.severity == Severity::retake; });
    if (!named)
      found.push_back({"photo.no_stack",
                       Severity::retake,
                       c.side.name,
                       {},
                       "no stack found in the photo",
                       "photograph the whole side of the stack"});
    return found;
  }
  count_and_direction(c, found);
  if (c.evidence.marks.slots.size() != static_cast<std::size_t>(c.pack.modules)) return found;
  unseen(c, found);
  for (auto part : {number_findings(c), way_round_findings(c), place_findings(c)})
    found.insert(found.end(), part.begin(), part.end());
  return found;
}

}  // namespace plumbstack
