// One side as a whole: whether there is a stack to judge, and what its slots show.
#include <algorithm>
#include <numeric>

#include "rules.hpp"

namespace plumbstack {
namespace {

Finding about_side(const SideCase& c, const char* code, Severity severity, std::string message,
                   std::string action) {
  return {code, severity, c.side.name, {}, std::move(message), std::move(action)};
}

void judge_count(const SideCase& c, std::vector<Finding>& found) {
  const int counted = c.evidence.modules_counted, want = c.pack.modules;
  const std::string message =
      std::to_string(counted) + " modules seen, this pack has " + std::to_string(want);
  // An unsure count is no fault of the stack, and no proof of it even where it fits.
  if (!c.evidence.count_sure)
    found.push_back(about_side(c, "count.unsure", Severity::retake,
                               message + ", but not every border was seen",
                               "photograph the whole side with both end plates, straight on"));
  else if (counted < want)
    found.push_back(about_side(c, "count.short", Severity::fix, message,
                               "find the missing module; check that the whole stack is in the "
                               "photo and that the pack definition fits"));
  else if (counted > want)
    found.push_back(about_side(c, "count.long", Severity::fix, message,
                               "take out what does not belong; check that the pack definition "
                               "fits"));
}

// Where slot 1 is not known, no reading can be said to be any slot's.
void name_all_unsure(const SideCase& c, std::vector<Finding>& found) {
  std::vector<int> all(static_cast<std::size_t>(std::max(0, c.pack.modules)));
  std::iota(all.begin(), all.end(), 1);
  const auto unsure = [&](const std::string& mark) {
    found.push_back({mark + ".unsure", Severity::retake, c.side.name, all,
                     "no " + mark + " can be laid to a slot while slot 1 is not known",
                     "say at which edge of the photo slot 1 is (--slot-1)"});
  };
  if (c.side.number) unsure("number");
  if (c.side.vent) unsure("vent");
  if (c.side.sign) unsure("sign");
}

void judge_direction(const SideCase& c, std::vector<Finding>& found) {
  if (!c.evidence.slot_1_at) {
    found.push_back(about_side(c, "stack.direction", Severity::retake,
                               "which end is slot 1 can't be told from this photo",
                               "say at which edge of the photo slot 1 is (--slot-1)"));
    name_all_unsure(c, found);
  } else if (c.pack.slot_1_up && *c.evidence.slot_1_at != Edge::top)
    found.push_back(about_side(c, "stack.reversed", Severity::fix,
                               std::string("slot 1 is at the ") + name_of(*c.evidence.slot_1_at) +
                                   ", this pack stands with slot 1 up",
                               "stand the stack with slot 1 up, or check from which end it was "
                               "numbered"));
}

void name_unseen(const SideCase& c, std::vector<Finding>& found) {
  const auto& capture = c.evidence.capture_findings;
  std::vector<int> slots;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const bool named = std::any_of(capture.begin(), capture.end(), [&](const Finding& f) {
      return f.severity != Severity::note &&
             std::find(f.slots.begin(), f.slots.end(), slot) != f.slots.end();
    });
    if (!c.at(slot).seen && !named) slots.push_back(slot);
  }
  if (!slots.empty())
    found.push_back({"photo.covered", Severity::retake, c.side.name, slots,
                     slots_text(slots) + " can't be seen",
                     "clear the view of " + slots_text(slots) + " and photograph again"});
}

}  // namespace

std::vector<Finding> side_findings(const SideCase& c, const RepairPlan& plan) {
  std::vector<Finding> found = c.evidence.capture_findings;
  if (!c.evidence.stack_found) {
    if (std::none_of(found.begin(), found.end(),
                     [](const Finding& f) { return f.code == "photo.no_stack"; }))
      found.push_back(about_side(c, "photo.no_stack", Severity::retake,
                                 "no stack found in the photo",
                                 "photograph the whole side of the stack, straight on"));
    return found;
  }
  judge_count(c, found);
  judge_direction(c, found);
  // With the count or the direction open, a mark can't be laid to a slot.
  if (!c.slots_can_be_named()) return found;
  name_unseen(c, found);
  for (const auto& part :
       {number_findings(c, plan), way_round_findings(c, plan), place_findings(c)})
    found.insert(found.end(), part.begin(), part.end());
  return found;
}

}  // namespace plumbstack
