#include <cstdlib>

#include "rules.hpp"

namespace plumbstack {

const char* name_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "pass";
    case Verdict::fix: return "fix";
    case Verdict::retake: return "retake";
  }
  return "retake";
}

const char* name_of(Severity severity) {
  switch (severity) {
    case Severity::note: return "note";
    case Severity::retake: return "retake";
    case Severity::fix: return "fix";
  }
  return "retake";
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

std::optional<bool> turned_by_vent(const SideCase& c, int slot) {
  const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  if (!c.side.vent || !marks.seen || !known(marks.vent, c.bar)) return std::nullopt;
  return *marks.vent.end != expected_vent(*c.side.vent, slot);
}

std::optional<bool> turned_by_sign(const SideCase& c, int slot) {
  const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  if (!c.side.sign || !marks.seen || !known(marks.sign, c.bar)) return std::nullopt;
  return *marks.sign.sign != expected_sign(*c.side.sign, slot);
}

std::optional<bool> turned_by_number(const SideCase& c, int slot) {
  const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  if (!c.side.number || !marks.seen || !known(marks.number, c.bar)) return std::nullopt;
  const int off = ((marks.number.rotation_deg - c.side.number->rotation_deg) % 360 + 360) % 360;
  if (off == 0) return false;
  if (off == 180) return true;
  return std::nullopt;  // a quarter turn is how it was written, not how the module stands
}

std::optional<bool> turned(const SideCase& c, int slot) {
  if (const auto by_vent = turned_by_vent(c, slot)) return by_vent;
  if (const auto by_sign = turned_by_sign(c, slot)) return by_sign;
  return turned_by_number(c, slot);
}

std::optional<int> trusted_number(const SideCase& c, int slot) {
  const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  if (!marks.seen || !known(marks.number, c.bar)) return std::nullopt;
  const std::string& text = *marks.number.text;
  if (text.empty() || text.size() > 6 || text.find_first_not_of("0123456789") != std::string::npos)
    return std::nullopt;
  return std::atoi(text.c_str());
}

std::string slots_text(const std::vector<int>& slots) {
  std::string text = slots.size() == 1 ? "slot " : "slots ";
  for (std::size_t i = 0; i < slots.size(); ++i) {
    if (i > 0) text += i + 1 == slots.size() ? " and " : ", ";
    text += std::to_string(slots[i]);
  }
  return text;
}

}  // namespace plumbstack
