// Pass is earned: every slot has to prove, from the raw marks, that all the side lists is there and
// right. It repeats on purpose, in other words, what the findings decide.
#include "rules.hpp"

namespace plumbstack {
namespace {

bool number_proven(const SideCase& c, int slot) {
  const NumberMark& mark = c.at(slot).number;
  const NumberRule& rule = *c.side.number;
  if (!mark.text || !(mark.confidence >= c.bar.number)) return false;
  // Written numbers may carry leading zeros, nothing else.
  const std::string& text = *mark.text;
  const std::size_t digits = text.find_first_not_of('0');
  const std::string own = std::to_string(rule.first + slot - 1);
  if ((digits == std::string::npos ? (text.empty() ? "" : "0") : text.substr(digits)) != own)
    return false;
  return mark.rotation_deg == rule.rotation_deg &&
         (!rule.end || !mark.end || *mark.end == *rule.end);
}

bool way_round_proven(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  const bool as_slot_1 = slot % 2 != 0;
  int right = 0, wrong = 0;
  if (c.side.vent && marks.vent.end && marks.vent.confidence >= c.bar.vent)
    ++((*marks.vent.end == c.side.vent->slot_1_end) == as_slot_1 ? right : wrong);
  if (c.side.sign && marks.sign.sign && marks.sign.confidence >= c.bar.sign)
    ++((*marks.sign.sign == c.side.sign->slot_1) == as_slot_1 ? right : wrong);
  return wrong == 0 && right > 0;
}

bool place_proven(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  if (const auto limit = c.pack.stagger_limit_mm)
    if (!marks.stagger_mm || !(*marks.stagger_mm <= *limit && *marks.stagger_mm >= -*limit) ||
        !(2 * marks.stagger_sd_mm <= *limit))
      return false;
  if (const auto limit = c.pack.seat_gap_limit_mm)
    if (slot < c.pack.modules && !(marks.gap_mm && *marks.gap_mm <= *limit)) return false;
  return true;
}

}  // namespace

std::vector<int> unproven_slots(const SideCase& c) {
  std::vector<int> slots;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    const bool listed = static_cast<std::size_t>(slot) <= c.evidence.marks.slots.size();
    if (!listed || !c.at(slot).seen || (c.side.number && !number_proven(c, slot)) ||
        ((c.side.vent || c.side.sign) && !way_round_proven(c, slot)) || !place_proven(c, slot))
      slots.push_back(slot);
  }
  return slots;
}

}  // namespace plumbstack
