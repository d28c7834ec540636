// plumbstack check: photos of one stack -> verdict, annotated photos, result document, report.
#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <iosfwd>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct CheckArguments {
  std::filesystem::path pack;
  std::filesystem::path out;
  std::string slot_1;  // edge of the photos without their own; empty = find out
  double max_megapixels = 108;
  std::filesystem::path debug_dir;  // empty = no debug pictures
  std::filesystem::path nets;       // empty = look where the program was put
  std::vector<std::string> photos;  // [SIDE[@EDGE]=]PHOTO, as typed
};

/// Adds the command with its options; what the user typed arrives in `arguments`.
CLI::App& add_check_command(CLI::App& app, CheckArguments& arguments);

/// Renames an older result in the folder, if the folder is there at all.
Result<void> retire_result_in(const std::filesystem::path& folder);

/// Checks and writes the record; prints the verdict to `say`. @return the exit status of the
/// verdict
Result<ExitCode> run_check(const CheckArguments& arguments, std::ostream& say);

}  // namespace plumbstack
