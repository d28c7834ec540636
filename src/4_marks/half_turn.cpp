#include <algorithm>

#include "plumbstack/marks.hpp"

namespace plumbstack {

SideMarks half_turned(const SideMarks& marks) {
  SideMarks turned = marks;
  turned.first_at = opposite(marks.first_at);
  std::reverse(turned.slots.begin(), turned.slots.end());
  const std::size_t n = turned.slots.size();
  for (std::size_t i = 0; i < n; ++i) {
    SlotMarks& slot = turned.slots[i];
    slot.face_in_photo = half_turned(slot.face_in_photo);
    slot.number.rotation_deg = (slot.number.rotation_deg + 180) % 360;
    if (slot.number.end) slot.number.end = other(*slot.number.end);
    if (slot.vent.end) slot.vent.end = other(*slot.vent.end);
    if (slot.stagger_mm) slot.stagger_mm = -*slot.stagger_mm;
    // The gap between two slots belongs to the one before it.
    slot.gap_mm = i + 1 < n ? marks.slots[n - 2 - i].gap_mm : std::nullopt;
  }
  return turned;
}

}  // namespace plumbstack
