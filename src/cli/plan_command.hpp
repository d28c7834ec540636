// plumbstack plan: pack definition and test sheet -> plan.json and the stacking sheet.
#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <iosfwd>
#include <string>

#include "plumbstack/base/result.hpp"
#include "plumbstack/test_sheet.hpp"

namespace plumbstack {

struct PlanArguments {
  std::filesystem::path pack;
  std::filesystem::path sheet;
  std::filesystem::path out;
  SheetUnits units;
  std::string paper = "a4";
};

/// Adds the command with its options; what the user typed arrives in `arguments`.
CLI::App& add_plan_command(CLI::App& app, PlanArguments& arguments);

/// Renames the files of an older plan in the folder, if the folder is there at all.
Result<void> retire_plan_in(const std::filesystem::path& folder);

/// Plans and writes the files; prints a summary to `say`. @return ExitCode::pass: the work is done
Result<ExitCode> run_plan(const PlanArguments& arguments, std::ostream& say);

}  // namespace plumbstack
