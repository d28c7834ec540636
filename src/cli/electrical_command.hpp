// plumbstack electrical: pack definition, plan, test sheet, result and meter readings -> preview.
#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <iosfwd>
#include <optional>
#include <string>

#include "plumbstack/base/result.hpp"
#include "plumbstack/electrical.hpp"

namespace plumbstack {

struct ElectricalArguments {
  std::filesystem::path pack;
  std::filesystem::path plan;    // empty = nominal voltages
  std::filesystem::path sheet;   // empty = voltages of the plan
  std::filesystem::path result;  // empty = signs as planned
  std::filesystem::path meter;   // empty = no readings
  std::filesystem::path out;
  std::string negative_end = "first";
  MeterAccuracy accuracy;
  std::optional<double> drift_mv;
};

/// Adds the command with its options; what the user typed arrives in `arguments`.
CLI::App& add_electrical_command(CLI::App& app, ElectricalArguments& arguments);

/// Renames the files of an older preview in the folder, if the folder is there at all.
Result<void> retire_preview_in(const std::filesystem::path& folder);

/// Works the preview out and writes it; prints a summary to `say`. @return pass: nothing wrong;
/// fix: something is to be fixed; retake: not enough is known
Result<ExitCode> run_electrical(const ElectricalArguments& arguments, std::ostream& say);

}  // namespace plumbstack
