#include "program.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "check_command.hpp"

namespace plumbstack {
namespace {

int report(const Error& error) {
  std::cerr << error_line(error);
  return static_cast<int>(exit_code_of(error.code));
}

constexpr const char* kExitCodes =
    "Exit status: 0 pass, 1 fix, 2 retake, 64 wrong usage, 65 bad input, 70 a fault of the\n"
    "program's own, 74 an output that could not be written.";

std::string first_line(const std::string& text) {
  return text.substr(0, text.find('\n'));
}

// A call that names an output folder and then fails must not leave an older verdict there, however
// early it fails.
int report_usage(const CLI::ParseError& error, const CLI::App& check) {
  const auto folder = check.get_option("--out")->results();
  if (!folder.empty())
    if (const auto retired = retire_result_in(folder.front()); !retired)
      return report(retired.error());
  const std::string help = check.parsed() ? "plumbstack check --help" : "plumbstack --help";
  return report({ErrorCode::usage, first_line(error.what()) + "; see " + help, ""});
}

int parse_and_run(int argc, char** argv) {
  CLI::App app{"Checks photos of an assembled stack of battery modules: pass, fix or retake."};
  app.name("plumbstack");
  app.set_version_flag("--version", "plumbstack " PLUMBSTACK_VERSION, "Print the version");
  app.footer(kExitCodes);
  CheckArguments arguments;
  CLI::App& check = add_check_command(app, arguments);
  check.footer(check.get_footer() + "\n\n" + kExitCodes);
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    return app.exit(asked, std::cout, std::cerr);
  } catch (const CLI::ParseError& error) {
    return report_usage(error, check);
  }
  if (!check.parsed())
    return report({ErrorCode::usage, "no command given; see plumbstack --help", ""});
  const auto verdict = run_check(arguments, std::cout);
  if (!verdict) return report(verdict.error());
  std::cout.flush();
  if (!std::cout)
    return report({ErrorCode::output_unwritable, "the verdict could not be printed", "stdout"});
  return static_cast<int>(*verdict);
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
