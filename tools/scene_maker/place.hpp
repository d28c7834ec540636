// Where a side's modules carry their marks and writing, in strip millimetres.
#pragma once

#include "dice.hpp"
#include "plan.hpp"

namespace scene {

/// Lays the modules one behind the other along the axis, by pitch and gap.
void lay_along_axis(SidePlan& plan);
/// Vents, signs and terminals, as each module's way round wants them.
void place_marks(Dice& dice, SidePlan& plan);
/// Sequence numbers, and beside them capacity figures and numbers of earlier rebuilds. Nobody
/// writes on a vent, a sign or a stud: layouts are tried until one is clear of them, at most
/// `tries`.
void place_writings(Dice& dice, SidePlan& plan, int tries = 50);

}  // namespace scene
