// What goes wrong in a stack, and what a fair judge must say of it.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "dice.hpp"
#include "plan.hpp"

namespace scene {

/// Faults that a scene can be asked for, "none" first: finding codes, and by other names
/// number.order_odd (swapped without a turn), number.moved (taken out and put in elsewhere) and
/// turned (end for end, once it was numbered).
const std::vector<std::string>& fault_names();

/// The numbers of a stack in order.
std::vector<std::string> plain_texts(const SidePlan& plan);
/// Order, turns and numbers as the fault wants them; other faults change nothing here.
void disorder(Dice& dice, const std::string& fault, SidePlan& plan,
              std::vector<std::string>& texts);
/// Stagger and gap as the fault wants them. @param stagger_mm 0 = at random
void displace(Dice& dice, const std::string& fault, double stagger_mm, SidePlan& plan);

/// Every finding of the plan as it stands, worked out from its states, not from the fault's name.
nlohmann::ordered_json findings_of(const SidePlan& plan, const std::vector<std::string>& texts);

}  // namespace scene
