#include <cmath>
#include <cstdio>

#include "rules.hpp"

namespace plumbstack {
namespace {

std::string mm(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f mm", value);
  return text;
}

void judge_stagger(const SideCase& c, int slot, const SlotMarks& marks, std::vector<int>& unsure,
                   std::vector<Finding>& found) {
  const double limit = *c.pack.stagger_limit_mm;
  // A measurement whose own spread is half the limit can't tell right from wrong.
  if (!marks.stagger_mm || marks.stagger_sd_mm > limit / 2) {
    unsure.push_back(slot);
    return;
  }
  const double off = std::abs(*marks.stagger_mm);
  const std::string where = "slot " + std::to_string(slot),
                    towards = *marks.stagger_mm > 0 ? "left" : "right";
  if (off > limit)
    found.push_back({"stagger.over",
                     Severity::fix,
                     c.side.name,
                     {slot},
                     where + " sits " + mm(off) + " off the line, the limit is " + mm(limit),
                     "loosen the frame, push the module in " + where + " " + mm(off) + " to the " +
                         towards + ", and press again"});
  else if (off > limit - 2 * marks.stagger_sd_mm)
    found.push_back({"stagger.near",
                     Severity::note,
                     c.side.name,
                     {slot},
                     where + " sits " + mm(off) + " off the line, close to the limit",
                     "feel with a straight edge"});
}

}  // namespace

std::vector<Finding> place_findings(const SideCase& c) {
  std::vector<Finding> found;
  std::vector<int> unsure;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
    if (!marks.seen) continue;
    if (c.pack.stagger_limit_mm) judge_stagger(c, slot, marks, unsure, found);
    if (c.pack.seat_gap_limit_mm && slot < c.pack.modules && marks.gap_mm &&
        *marks.gap_mm > *c.pack.seat_gap_limit_mm)
      found.push_back({"seat.gap",
                       Severity::fix,
                       c.side.name,
                       {slot, slot + 1},
                       "a gap of " + mm(*marks.gap_mm) + " between slots " + std::to_string(slot) +
                           " and " + std::to_string(slot + 1),
                       "take out what lies between them, look for swelling, seat both modules, and "
                       "press again"});
  }
  if (!unsure.empty())
    found.push_back({"stagger.unsure", Severity::retake, c.side.name, unsure,
                     "the ends of " + slots_text(unsure) + " can't be measured well enough",
                     "photograph straighter and closer, with both ends in view"});
  return found;
}

}  // namespace plumbstack
