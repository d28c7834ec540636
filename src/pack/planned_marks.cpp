#include "plumbstack/pack.hpp"

namespace plumbstack {

std::optional<int> planned_number(const Side& side, int slot) {
  if (!side.number) return std::nullopt;
  return side.number->first + slot - 1;
}

std::optional<End> planned_vent(const Side& side, int slot) {
  if (!side.vent) return std::nullopt;
  return slot % 2 == 1 ? side.vent->slot_1_end : other(side.vent->slot_1_end);
}

std::optional<Sign> planned_sign(const Side& side, int slot) {
  if (!side.sign) return std::nullopt;
  return slot % 2 == 1 ? side.sign->slot_1 : other(side.sign->slot_1);
}

}  // namespace plumbstack
