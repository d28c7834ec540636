#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

// A reading's way round is far surer than its digits, and many agree: readings under the trust bar
// vote too, by what their confidence is worth, and the outcome needs more than one sure vote.
constexpr double kLeastVotes = 1.9;
constexpr double kLeastShare = 0.75;

}  // namespace

// Only rotation and end of the numbers vote, never their order: the order is what is checked.
std::optional<Edge> edge_by_numbers(const Side& side, const SideMarks& marks) {
  if (!side.number) return std::nullopt;
  double here = 0, there = 0;
  for (const SlotMarks& slot : marks.slots) {
    const NumberMark& n = slot.number;
    if (!n.text) continue;
    const bool end_here = !side.number->end || !n.end || *n.end == *side.number->end;
    const bool end_there = !side.number->end || !n.end || *n.end != *side.number->end;
    if (n.rotation_deg == side.number->rotation_deg && end_here) here += n.confidence;
    if (n.rotation_deg == (side.number->rotation_deg + 180) % 360 && end_there)
      there += n.confidence;
  }
  if (std::abs(here - there) < kLeastVotes || std::max(here, there) < kLeastShare * (here + there))
    return std::nullopt;
  return here > there ? marks.first_at : opposite(marks.first_at);
}

}  // namespace plumbstack
