#include "parts.hpp"

namespace plumbstack {

// Only rotation and end of trusted numbers vote, never their order: the order is what is checked.
std::optional<Edge> edge_by_numbers(const Side& side, const SideMarks& marks, const TrustBar& bar) {
  if (!side.number) return std::nullopt;
  int here = 0, there = 0;
  for (const SlotMarks& slot : marks.slots) {
    const NumberMark& n = slot.number;
    if (!n.text || n.confidence < bar.number) continue;
    const bool end_here = !side.number->end || !n.end || *n.end == *side.number->end;
    const bool end_there = !side.number->end || !n.end || *n.end != *side.number->end;
    if (n.rotation_deg == side.number->rotation_deg && end_here) ++here;
    if (n.rotation_deg == (side.number->rotation_deg + 180) % 360 && end_there) ++there;
  }
  if (here + there < 2 || here == there) return std::nullopt;
  return here > there ? marks.first_at : opposite(marks.first_at);
}

}  // namespace plumbstack
