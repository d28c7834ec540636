#include "program.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "check_command.hpp"
#include "job_command.hpp"
#include "plan_command.hpp"

namespace plumbstack {
namespace {

int report(const Error& error) {
  std::cerr << error_line(error);
  return static_cast<int>(exit_code_of(error.code));
}

constexpr const char* kExitCodes =
    "Exit status: 0 pass, 1 fix, 2 retake, 64 wrong usage, 65 bad input, 70 a fault of the\n"
    "program's own, 74 an output that could not be written.";
constexpr const char* kAlsoPlanned = "A plan that was made ends with 0 too.";

std::string first_line(const std::string& text) {
  return text.substr(0, text.find('\n'));
}

// A call that names an output folder and then fails must not leave an older result there, however
// early it fails.
int report_usage(const CLI::ParseError& error, const CLI::App& check, const CLI::App& plan,
                 const CLI::App& job) {
  if (job.parsed()) {
    const auto steps = job.get_subcommands();
    const std::string step = steps.empty() ? "" : " " + steps.front()->get_name();
    return report({ErrorCode::usage,
                   first_line(error.what()) + "; see plumbstack job" + step + " --help", ""});
  }
  const bool planning = plan.parsed();
  const auto folder = (planning ? plan : check).get_option("--out")->results();
  if (!folder.empty())
    if (const auto retired =
            planning ? retire_plan_in(folder.front()) : retire_result_in(folder.front());
        !retired)
      return report(retired.error());
  const std::string help = planning         ? "plumbstack plan --help"
                           : check.parsed() ? "plumbstack check --help"
                                            : "plumbstack --help";
  return report({ErrorCode::usage, first_line(error.what()) + "; see " + help, ""});
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
      "Plans a stack of battery modules from their test sheet, and checks photos of the assembled\n"
      "stack: pass, fix or retake. Keeps the record of each job."};
  app.name("plumbstack");
  app.set_version_flag("--version", "plumbstack " PLUMBSTACK_VERSION, "Print the version");
  app.footer(std::string(kExitCodes) + "\n" + kAlsoPlanned);
  CheckArguments check_arguments;
  CLI::App& check = add_check_command(app, check_arguments);
  check.footer(check.get_footer() + "\n\n" + kExitCodes);
  PlanArguments plan_arguments;
  CLI::App& plan = add_plan_command(app, plan_arguments);
  JobArguments job_arguments;
  CLI::App& job = add_job_command(app, job_arguments);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked, std::cout, std::cerr);
  } catch (const CLI::ParseError& error) {
    return report_usage(error, check, plan, job);
  }
  if (check.parsed()) return finish(run_check(check_arguments, std::cout), "verdict");
  if (plan.parsed()) return finish(run_plan(plan_arguments, std::cout), "plan");
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
