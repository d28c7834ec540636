// What goes wrong in a stack, and what a fair judge must say of it.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "dice.hpp"
#include "plan.hpp"

namespace scene {

/// Finding codes that a scene can be asked for, "none" first.
const std::vector<std::string>& fault_names();

/// Order, turns and numbers as the fault wants them: the texts of the slots, and Module::turned
/// set.
std::vector<std::string> number_texts(Dice& dice, SidePlan& plan);
/// Stagger and gap faults, after the axis was laid out.
void displace(Dice& dice, const Ask& ask, SidePlan& plan);

/// Every finding of the plan as it stands, worked out from its states, not from the fault's name.
nlohmann::ordered_json findings_of(const SidePlan& plan, const std::vector<std::string>& texts);

}  // namespace scene
