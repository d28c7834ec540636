// All sides of one stack: the modules are laid out once, then each side of the pack definition
// shows them. Modules turned end for end are turned on every side; what is shifted along the
// modules' length is seen on the long sides, mirrored on the second, since one looks at it from
// behind.
#pragma once

#include <string>
#include <vector>

#include "plan.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/pack.hpp"

namespace scene {

struct StackAsk {
  std::vector<std::string> faults;     // by name, see fault_names()
  std::string spoilt_side;             // whose photo has the capture fault
  std::string capture_fault = "none";  // none, blur, glare, crop, dark, occlusion
  double stagger_mm = 0;               // size of a stagger fault; 0 = at random
};

/// One plan a side, in the pack's order. Error: usage, where no side of the pack can show what is
/// asked for.
plumbstack::Result<std::vector<SidePlan>> plan_stack(Dice& dice, const plumbstack::Pack& pack,
                                                     const StackAsk& ask);

}  // namespace scene
