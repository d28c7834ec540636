// plumbstack job: the record of a job from opening to closing, and the search through all of them.
#pragma once

#include <CLI/App.hpp>
#include <filesystem>
#include <iosfwd>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"
#include "plumbstack/job_store.hpp"

namespace plumbstack {

/// What the user typed, of all the steps together: each takes its own.
struct JobArguments {
  std::string store;            // folder or connection string
  std::filesystem::path files;  // empty = in the store's folder
  std::string number, by;
  std::filesystem::path pack, check_list, plan, result, crop, out;
  std::string customer, shows, line, note, reason, reads, head;
  std::string paper = "a4";
  std::vector<std::filesystem::path> photos;
  std::vector<std::string> serials;  // SLOT=SERIAL
  std::vector<double> figures;
  std::vector<int> slots;
  int entry = 0;
  bool failed = false, as_json = false;
  JobQuery query;
  int most = 100;
};

CLI::App& add_job_command(CLI::App& app, JobArguments& arguments);

/// Runs the step that was named. @param in where serials come from if none are on the command line
Result<ExitCode> run_job(const CLI::App& job, const JobArguments& arguments, std::istream& in,
                         std::ostream& say);

}  // namespace plumbstack
