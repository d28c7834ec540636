#include <algorithm>
#include <cmath>

#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"
#include "plumbstack/electrical_files.hpp"

namespace plumbstack {
namespace {

ModuleVolts nominal_module(const ElectricalRule& rule) {
  ModuleVolts module;
  module.v = rule.cells_per_module * rule.nominal_v_per_cell;
  module.span = {module.v, rule.cells_per_module * rule.charged_v_per_cell};
  return module;
}

const TestedModule* listed_as(const TestSheet& sheet, const std::string& serial) {
  const auto at = std::find_if(sheet.modules.begin(), sheet.modules.end(),
                               [&](const TestedModule& m) { return m.serial == serial; });
  return at == sheet.modules.end() ? nullptr : &*at;
}

double standard_deviation(const std::vector<double>& values) {
  if (values.size() < 2) return 0;
  double mean = 0, squares = 0;
  for (const double v : values) mean += v / static_cast<double>(values.size());
  for (const double v : values) squares += (v - mean) * (v - mean);
  return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

std::string source_words(std::size_t measured, std::size_t modules, const TestSheet* sheet,
                         const std::string& sheet_name, const ElectricalRule& rule) {
  const std::string nominal = std::to_string(rule.cells_per_module) + " cells of " +
                              fixed(rule.nominal_v_per_cell, 2) +
                              " V from the pack definition, not measured";
  if (measured == 0) return "Voltages: nominal, " + nominal + ".";
  const std::string from = sheet ? "the test sheet " + shown_name(sheet_name)
                                 : "the test sheet that the plan was made from";
  if (measured == modules) return "Voltages: measured at rest, from " + from + ".";
  return "Voltages: " + std::to_string(measured) + " of " + std::to_string(modules) +
         " measured at rest, from " + from + "; the others nominal, " + nominal + ".";
}

std::string drift_words(std::size_t measured, double drift_v, bool given, bool all) {
  std::string text;
  if (measured > 0) {
    text = "A measured voltage may have moved by ±" + fixed(1000 * drift_v, 1) + " mV since, ";
    text += given ? "as you said." : "twice the standard deviation of the measured ones.";
  }
  if (!all)
    text += std::string(text.empty() ? "" : " ") +
            "Where nothing was measured a voltage may be anything from nominal to charged.";
  return text;
}

}  // namespace

Result<VoltsOfModules> volts_of_modules(const Pack& pack, const std::vector<PlannedModule>& planned,
                                        const TestSheet* sheet, const std::string& sheet_name,
                                        std::optional<double> drift_v) {
  const ElectricalRule& rule = *pack.electrical;
  VoltsOfModules all{
      std::vector<ModuleVolts>(static_cast<std::size_t>(pack.modules), nominal_module(rule)), {}};
  std::vector<double> measured;
  for (std::size_t i = 0; i < planned.size(); ++i) {
    ModuleVolts& module = all.modules[i];
    module.serial = planned[i].serial;
    module.number = planned[i].number;
    const TestedModule* listed = sheet ? listed_as(*sheet, module.serial) : nullptr;
    if (sheet && !listed)
      return fail(ErrorCode::sheet_invalid,
                  "has no module " + module.serial + ", which the plan puts in slot " +
                      std::to_string(i + 1),
                  sheet_name);
    if (!listed && !planned[i].voltage_v) continue;
    module.v = listed ? listed->voltage_v : *planned[i].voltage_v;
    module.measured = true;
    measured.push_back(module.v);
  }
  const double drift = drift_v.value_or(2 * standard_deviation(measured));
  for (ModuleVolts& module : all.modules)
    if (module.measured) module.span = {module.v - drift, module.v + drift};
  all.assumptions = {source_words(measured.size(), all.modules.size(), sheet, sheet_name, rule),
                     drift_words(measured.size(), drift, drift_v.has_value(),
                                 measured.size() == all.modules.size())};
  return all;
}

}  // namespace plumbstack
