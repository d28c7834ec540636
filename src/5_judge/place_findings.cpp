// Where modules sit: off the line along the strip, and apart from their neighbours.
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

void judge_stagger(const SideCase& c, int slot, std::vector<int>& unsure,
                   std::vector<Finding>& found) {
  const SlotMarks& marks = c.at(slot);
  const double limit = *c.pack.stagger_limit_mm, sd = marks.stagger_sd_mm;
  const double off = marks.stagger_mm ? std::abs(*marks.stagger_mm) : std::nan("");
  const std::string where = slots_text({slot});
  // A measurement whose own spread is half the limit can't tell right from wrong, unless it is far
  // off. Written so that a value that is no number is unsure too.
  const bool tells = sd >= 0 && sd <= limit / 2;
  if (off > limit && (tells || off > limit + 2 * sd))
    found.push_back({"stagger.over",
                     Severity::fix,
                     c.side.name,
                     {slot},
                     where + " sits " + mm(off) + " off the line, the limit is " + mm(limit),
                     "loosen the frame, push " + modules_text({slot}) + " " + mm(off) + " to the " +
                         (*marks.stagger_mm > 0 ? "left" : "right") +
                         " (slot 1 up), and press again"});
  else if (!(off <= limit) || !tells)
    unsure.push_back(slot);
  else if (off > limit - 2 * sd)
    found.push_back(
        {"stagger.near",
         Severity::note,
         c.side.name,
         {slot},
         where + " sits " + mm(off) + " off the line, close to the limit of " + mm(limit),
         "feel along the ends with a straight edge"});
}

// Where not every border was seen, a strip may have been laid on an end plate's edge: a gap beside
// it is not proven, nor is that there is none.
void judge_gap(const SideCase& c, int slot, std::vector<int>& unsure, std::vector<Finding>& found) {
  const std::optional<double>& gap = c.at(slot).gap_mm;
  const double limit = *c.pack.seat_gap_limit_mm;
  if (gap && *gap > limit && c.evidence.count_sure)
    found.push_back({"seat.gap",
                     Severity::fix,
                     c.side.name,
                     {slot, slot + 1},
                     "a gap of " + mm(*gap) + " between " + slots_text({slot, slot + 1}) +
                         ", the limit is " + mm(limit),
                     "look for swelling or something caught between them, seat both modules, and "
                     "press again"});
  else if (!gap || !(*gap <= limit))
    unsure.push_back(slot);
}

}  // namespace

std::vector<Finding> place_findings(const SideCase& c) {
  std::vector<Finding> found;
  std::vector<int> stagger_unsure, gap_unsure;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    if (!c.at(slot).seen) continue;
    if (c.pack.stagger_limit_mm) judge_stagger(c, slot, stagger_unsure, found);
    if (c.pack.seat_gap_limit_mm && slot < c.pack.modules && c.at(slot + 1).seen)
      judge_gap(c, slot, gap_unsure, found);
  }
  if (!stagger_unsure.empty())
    found.push_back({"stagger.unsure", Severity::retake, c.side.name, stagger_unsure,
                     "the ends of " + slots_text(stagger_unsure) + " can't be measured well enough",
                     "photograph straighter and closer, with both ends in view"});
  if (!gap_unsure.empty())
    found.push_back({"seat.unsure", Severity::retake, c.side.name, gap_unsure,
                     "the gap after " + slots_text(gap_unsure) + " can't be measured",
                     "photograph straighter and closer, with the borders in view"});
  return found;
}

}  // namespace plumbstack
