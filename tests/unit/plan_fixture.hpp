// A pack and test sheets for tests of the plan.
#pragma once

#include <random>

#include "files.hpp"
#include "plumbstack/plan.hpp"

namespace plumbstack::test {

/// A pack whose one side shows number, vent and sign.
inline Pack plan_pack(int modules, int per_block, CoolEnd cool = CoolEnd::first) {
  Pack pack;
  pack.id = "short";
  pack.name = "Short pack";
  pack.modules = modules;
  pack.module_mm = {200, 100, 20, 20};
  Side side;
  side.name = "top";
  side.strip_mm = 200;
  side.number = NumberRule{11, End::right, 180};
  side.vent = VentRule{End::left};
  side.sign = SignRule{Sign::plus, End::left, {{Sign::plus, MarkColor::red}}};
  pack.sides = {side};
  pack.required_sides = {"top"};
  pack.electrical = ElectricalRule{6, 1.2, 1.4, per_block};
  pack.plan = PlanRule{};
  pack.plan->cool_end = cool;
  return pack;
}

/// Serials A, B, C ... with these capacities; all else alike.
inline TestSheet sheet_of(const std::vector<double>& capacities_ah) {
  TestSheet sheet;
  for (const double capacity : capacities_ah) {
    TestedModule module;
    module.serial = std::string(1, static_cast<char>('A' + sheet.modules.size()));
    module.capacity_ah = capacity;
    module.voltage_v = 7.9;
    module.resistance_mohm = 18;
    sheet.modules.push_back(module);
  }
  return sheet;
}

inline std::string serials(const Plan& plan, const TestSheet& sheet) {
  std::string text;
  for (const PlannedSlot& slot : plan.slots) text += sheet.modules[slot.module].serial;
  return text;
}

inline TestSheet sheet_by_lot(int modules, unsigned seed) {
  std::mt19937 lot(seed);
  TestSheet sheet = sheet_of({});
  for (int i = 0; i < modules; ++i) {
    TestedModule module;
    module.serial = "FL-" + std::to_string(100 + i);
    module.capacity_ah = 6 + static_cast<double>(lot() % 80) / 100;
    module.voltage_v = 7.85 + static_cast<double>(lot() % 20) / 1000;
    module.resistance_mohm = 17 + static_cast<double>(lot() % 40) / 10;
    sheet.modules.push_back(module);
  }
  return sheet;
}

}  // namespace plumbstack::test
