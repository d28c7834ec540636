// Photo, FoundStack -> Marks. The marks come in the provisional frame until `with_slot_1` names the
// end that is slot 1.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/marks.hpp"
#include "plumbstack/nets.hpp"
#include "plumbstack/pack.hpp"
#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

/// What a strip shows at both ends and as a whole, before slot 1 is known.
struct UnorientedMarks {
  SideMarks marks;                  // signs not filled in
  std::vector<SignMark> left_sign;  // the sign of each strip, were the provisional left end named
  std::vector<SignMark>
      right_sign;    // the same for the right end; equal where the rule names no end
  std::string note;  // why a reader could not be asked, one plain sentence; empty = all could
};

UnorientedMarks read_marks(const Photo& photo, const FoundStack& found, const Pack& pack,
                           const Side& side, Nets& nets);

/// Edge of the photo at which slot 1 is: as given, by the numbers, or as the pack stands; nullopt
/// where none of these tells.
std::optional<Edge> slot_1_edge(const UnorientedMarks& read, const Pack& pack, const Side& side,
                                const std::optional<Edge>& given);

/// The marks with slot 1 first.
SideMarks with_slot_1(const UnorientedMarks& read, const Side& side, Edge slot_1_at);

}  // namespace plumbstack
