// Which marks count as known, and what each tells about how a module stands.
#include <cstdlib>

#include "rules.hpp"

namespace plumbstack {
namespace {

std::optional<int> number_of(const NumberMark& mark) {
  const std::string& text = *mark.text;
  // Six digits fit an int; longer writing is no sequence number of any pack.
  if (text.empty() || text.size() > 6 || text.find_first_not_of("0123456789") != std::string::npos)
    return std::nullopt;
  return std::atoi(text.c_str());
}

}  // namespace

bool SideCase::slots_can_be_named() const {
  return evidence.stack_found && evidence.slot_1_at && pack.modules > 0 &&
         evidence.modules_counted == pack.modules &&
         evidence.marks.slots.size() == static_cast<std::size_t>(pack.modules);
}

End expected_vent(const VentRule& rule, int slot) {
  return slot % 2 == 1 ? rule.slot_1_end : other(rule.slot_1_end);
}

Sign expected_sign(const SignRule& rule, int slot) {
  return slot % 2 == 1 ? rule.slot_1 : other(rule.slot_1);
}

bool known(const NumberMark& mark, const TrustBar& bar) {
  return mark.text.has_value() && mark.confidence >= bar.number;
}
bool known(const VentMark& mark, const TrustBar& bar) {
  return mark.end.has_value() && mark.confidence >= bar.vent;
}
bool known(const SignMark& mark, const TrustBar& bar) {
  return mark.sign.has_value() && mark.confidence >= bar.sign;
}

bool doubtful_number(const SideCase& c, int slot) {
  const NumberMark& mark = c.at(slot).number;
  if (!c.side.number || !known(mark, c.bar) || mark.confidence >= c.bar.number_fault) return false;
  const NumberRule& rule = *c.side.number;
  return number_of(mark) != rule.first + slot - 1 || mark.rotation_deg != rule.rotation_deg ||
         (rule.end && mark.end && *mark.end != *rule.end);
}

bool doubtful_sign(const SideCase& c, int slot) {
  const SignMark& mark = c.at(slot).sign;
  return c.side.sign && known(mark, c.bar) && mark.confidence < c.bar.sign_fault &&
         *mark.sign != expected_sign(*c.side.sign, slot);
}

std::optional<bool> wrong_by_vent(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  if (!c.side.vent || !marks.seen || !known(marks.vent, c.bar)) return std::nullopt;
  return *marks.vent.end != expected_vent(*c.side.vent, slot);
}

std::optional<bool> wrong_by_sign(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  if (!c.side.sign || !marks.seen || !known(marks.sign, c.bar) || doubtful_sign(c, slot))
    return std::nullopt;
  return *marks.sign.sign != expected_sign(*c.side.sign, slot);
}

// End and quarter turn must say the same: a number at the other end but upright, or on its side,
// was written otherwise and tells nothing about the module.
std::optional<bool> turned_by_number(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  if (!c.side.number || !marks.seen || !known(marks.number, c.bar) || doubtful_number(c, slot))
    return std::nullopt;
  const int off = ((marks.number.rotation_deg - c.side.number->rotation_deg) % 360 + 360) % 360;
  if (off != 0 && off != 180) return std::nullopt;
  if (c.side.number->end && marks.number.end &&
      (*marks.number.end != *c.side.number->end) != (off == 180))
    return std::nullopt;
  return off == 180;
}

std::optional<int> trusted_number(const SideCase& c, int slot) {
  const SlotMarks& marks = c.at(slot);
  if (!c.side.number || !marks.seen || !known(marks.number, c.bar) || doubtful_number(c, slot))
    return std::nullopt;
  return number_of(marks.number);
}

std::optional<int> home_slot(const SideCase& c, int slot) {
  const auto number = trusted_number(c, slot);
  if (!number) return std::nullopt;
  return *number - c.side.number->first + 1;
}

}  // namespace plumbstack
