// Between the stages: which photo shows which side, and what the judge is handed.
#pragma once

#include <string>
#include <vector>

#include "plumbstack/check_stack.hpp"
#include "plumbstack/read_marks.hpp"
#include "plumbstack/strips.hpp"

namespace plumbstack {

/// The side of each photo as asked for; empty strings where it has to be found out.
/// Errors: side_unknown, side_twice, side_ambiguous (unnamed, and two sides list the same marks).
Result<std::vector<std::string>> asked_sides(const Pack& pack,
                                             const std::vector<PhotoRequest>& requests);

/// The pack's side, among those not taken, whose marks are the ones present.
std::string side_by_marks(const Pack& pack, const FaceMaps& maps, const StackFrame& frame,
                          const std::vector<std::string>& taken);

/// What the judge may know of a photo in which a stack was found.
/// @param strips of the found frame, in its order
SideEvidence evidence_of(const Pack& pack, const Side& side, const FoundStack& found,
                         const std::vector<StripCut>& strips, const UnorientedMarks& read,
                         const std::optional<Edge>& given);
/// ... and of one without.
SideEvidence no_stack(const std::string& side);

}  // namespace plumbstack
