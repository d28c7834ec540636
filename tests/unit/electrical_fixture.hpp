// A row of modules for tests of the electrical preview.
#pragma once

#include "plan_fixture.hpp"
#include "plumbstack/electrical.hpp"

namespace plumbstack::test {

/// Voltages slot 1 first, each of which may have moved by `drift_v`; all stands as planned.
inline ElectricalInput row_of(const std::vector<double>& volts, double drift_v = 0.01) {
  ElectricalInput input;
  for (const double v : volts) {
    ModuleVolts module;
    module.v = v;
    module.span = {v - drift_v, v + drift_v};
    module.measured = true;
    module.serial = "FL-" + std::to_string(input.modules.size() + 1);
    input.modules.push_back(module);
  }
  input.stacked.resize(volts.size());
  return input;
}

inline StackedModule seen(WayRound way, std::optional<int> home = std::nullopt) {
  StackedModule module;
  module.way_round = way;
  if (way == WayRound::not_known) module.why = "no sign was read with trust";
  module.home = home;
  return module;
}

inline std::vector<MeterReading> readings_of(const std::vector<double>& volts) {
  std::vector<MeterReading> readings;
  for (const double v : volts) readings.push_back({v, false});
  return readings;
}

}  // namespace plumbstack::test
