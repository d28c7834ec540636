// Files -> what the preview is worked out from. All are read strictly: a figure or a sign that is
// taken wrong makes a wrong voltage.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "plumbstack/documents.hpp"
#include "plumbstack/electrical.hpp"
#include "plumbstack/test_sheet.hpp"

namespace plumbstack {

struct VoltsOfModules {
  std::vector<ModuleVolts> modules;      // slot 1 first
  std::vector<std::string> assumptions;  // where they come from and how far they may have moved
};

/// Voltages from the sheet (by serial) if there is one, else from the plan, else nominal. A
/// measured one may have moved by `drift_v`; where that is not given by twice the standard
/// deviation of the measured ones. A nominal one may be anything up to that of charged cells.
/// @param planned empty = there is no plan, and then no sheet
/// Error: sheet_invalid, where the sheet lacks a module.
/// @pre pack.electrical is given
Result<VoltsOfModules> volts_of_modules(const Pack& pack, const std::vector<PlannedModule>& planned,
                                        const TestSheet* sheet, const std::string& sheet_name,
                                        std::optional<double> drift_v);

struct SeenStack {
  std::vector<StackedModule> stacked;  // slot 1 first
  std::vector<std::string> assumptions;
};

/// Signs of a result document. A sign counts where its confidence is at the document's trust bar,
/// its photo shows all modules and where slot 1 is, no finding of the document doubts it, and no
/// other side nor the vent contradicts it; else it is not known.
/// @param origin name of the document in what is assumed (a file name)
SeenStack seen_stack(const CheckResult& result, const std::string& origin, const Pack& pack);

/// Columns block and voltage_v, one line for each block; empty = not measured, "open" = no steady
/// reading. Errors: sheet_unreadable (not a table), readings_invalid; both with line and column.
/// @param blocks how many the pack has
Result<std::vector<MeterReading>> parse_meter_readings(std::string_view csv,
                                                       const std::string& origin, int blocks);
Result<std::vector<MeterReading>> load_meter_readings(const std::filesystem::path& file,
                                                      int blocks);

}  // namespace plumbstack
