#include "program.hpp"

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "batch_command.hpp"
#include "check_command.hpp"
#include "electrical_command.hpp"
#include "job_command.hpp"
#include "plan_command.hpp"
#include "watch_command.hpp"

namespace plumbstack {
namespace {

int report(const Error& error) {
  std::cerr << error_line(error);
  return static_cast<int>(exit_code_of(error.code));
}

constexpr const char* kExitCodes =
    "Exit status: 0 pass, 1 fix, 2 retake, 64 wrong usage, 65 bad input, 70 a fault of the\n"
    "program's own, 74 an output that could not be written.";
constexpr const char* kAlsoOthers =
    "A plan that was made ends with 0 too; an electrical preview with 0 where nothing is wrong, 1\n"
    "where something is to be fixed, 2 where not enough is known; a step of a job with 0 where it\n"
    "is done, 1 where what it records is a fault, 2 where photos are to be taken again; a watch "
    "that\n"
    "was ended with 0. Of an archive 3 says that some stacks could not be checked, 130 that the "
    "run\n"
    "was stopped.";

std::string first_line(const std::string& text) {
  return text.substr(0, text.find('\n'));
}

struct Command {
  const CLI::App& app;
  Result<void> (*retire_in)(const std::filesystem::path& folder);  // null: its --out is its own
};

int report_wrong_use(const CLI::ParseError& error, const std::string& help) {
  return report({ErrorCode::usage, first_line(error.what()) + "; see " + help, ""});
}

// A call that names an output folder and then fails must not leave an older result there, however
// early it fails.
int report_usage(const CLI::ParseError& error, const std::vector<Command>& commands) {
  std::string help = "plumbstack --help";
  const Command* typed = &commands.front();
  for (const Command& command : commands)
    if (command.app.parsed()) {
      typed = &command;
      const auto steps = command.app.get_subcommands();
      const std::string step = steps.empty() ? "" : steps.front()->get_name() + " ";
      help = "plumbstack " + command.app.get_name() + " " + step + "--help";
    }
  if (!typed->retire_in) return report_wrong_use(error, help);
  const auto folder = typed->app.get_option("--out")->results();
  if (!folder.empty())
    if (const auto retired = typed->retire_in(folder.front()); !retired)
      return report(retired.error());
  return report_wrong_use(error, help);
}

int finish(const Result<ExitCode>& done, const char* what) {
  if (!done) return report(done.error());
  std::cout.flush();
  if (!std::cout)
    return report({ErrorCode::output_unwritable,
                   std::string("the ") + what + " could not be printed", "stdout"});
  return static_cast<int>(*done);
}

int parse_and_run(int argc, char** argv) {
  CLI::App app{
      "Plans a stack of battery modules from their test sheet, checks photos of the assembled "
      "stack\n"
      "(pass, fix or retake) or of a whole archive of them, previews its voltages and bus bars, "
      "and\n"
      "keeps the record of each job."};
  app.name("plumbstack");
  app.set_version_flag("--version", "plumbstack " PLUMBSTACK_VERSION, "Print the version");
  app.footer(std::string(kExitCodes) + "\n" + kAlsoOthers);
  CheckArguments check_arguments;
  CLI::App& check = add_check_command(app, check_arguments);
  check.footer(check.get_footer() + "\n\n" + kExitCodes);
  PlanArguments plan_arguments;
  CLI::App& plan = add_plan_command(app, plan_arguments);
  ElectricalArguments electrical_arguments;
  CLI::App& electrical = add_electrical_command(app, electrical_arguments);
  BatchArguments batch_arguments;
  CLI::App& batch = add_batch_command(app, batch_arguments);
  WatchArguments watch_arguments;
  CLI::App& watch = add_watch_command(app, watch_arguments);
  JobArguments job_arguments;
  CLI::App& job = add_job_command(app, job_arguments);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked, std::cout, std::cerr);
  } catch (const CLI::ParseError& error) {
    return report_usage(error, {{check, retire_result_in},
                                {plan, retire_plan_in},
                                {electrical, retire_preview_in},
                                {batch, retire_batch_in},
                                {watch, nullptr},
                                {job, nullptr}});
  }
  if (check.parsed()) return finish(run_check(check_arguments, std::cout), "verdict");
  if (plan.parsed()) return finish(run_plan(plan_arguments, std::cout), "plan");
  if (electrical.parsed())
    return finish(run_electrical(electrical_arguments, std::cout), "preview");
  if (batch.parsed())
    return finish(
        run_batch_command(batch_arguments, std::cout, std::cerr, ::isatty(STDERR_FILENO) != 0),
        "summary");
  if (watch.parsed()) return finish(run_watch(watch_arguments, std::cout), "verdicts");
  if (job.parsed()) return finish(run_job(job, job_arguments, std::cin, std::cout), "record");
  return report({ErrorCode::usage, "no command given; see plumbstack --help", ""});
}

}  // namespace

std::string error_line(const Error& error) {
  std::string line = error.where.empty() ? error.message : error.where + ": " + error.message;
  std::replace_if(
      line.begin(), line.end(), [](unsigned char c) { return c < ' '; }, ' ');
  return "plumbstack: " + line + "\n";
}

int run_program(int argc, char** argv) {
  try {
    return parse_and_run(argc, argv);
  } catch (const std::exception& fault) {
    return report({ErrorCode::internal,
                   std::string("a fault of the program's own, please report it: ") + fault.what(),
                   ""});
  }
}

}  // namespace plumbstack
