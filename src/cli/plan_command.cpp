#include "plan_command.hpp"

#include <CLI/CLI.hpp>
#include <ostream>

#include "output_folder.hpp"
#include "plan_text.hpp"
#include "plumbstack/plan_record.hpp"

namespace plumbstack {
namespace {

constexpr const char* kSheetHelp =
    "SHEET.csv names its columns in the first line: serial, capacity_ah (or _mah), voltage_v (or "
    "_mv),\n"
    "resistance_mohm (or _ohm) and, if there is one, leak_test (pass or fail). Values are parted "
    "by\n"
    "commas and have a decimal point. Other columns are kept.\n\n"
    "Example:\n"
    "  plumbstack plan --pack models/packs/long-34.json --sheet tests.csv --out FL-0142\n\n"
    "Exit status: 0 planned, 64 wrong usage, 65 bad input or too few modules within the limits,\n"
    "70 a fault of the program's own, 74 an output that could not be written.";

void add_units(CLI::App& plan, SheetUnits& units) {
  const auto unit = [&](const char* option, std::string& word, std::vector<std::string> words) {
    plan.add_option(option, word,
                    "Unit of a column whose title names none: " + words[0] + " or " + words[1])
        ->check(CLI::IsMember(std::move(words)))
        ->type_name("UNIT");
  };
  unit("--capacity-unit", units.capacity, {"ah", "mah"});
  unit("--voltage-unit", units.voltage, {"v", "mv"});
  unit("--resistance-unit", units.resistance, {"mohm", "ohm"});
}

Result<ExitCode> plan_into(const PlanArguments& arguments, std::ostream& say) {
  const auto pack = load_pack(arguments.pack);
  if (!pack) return tl::unexpected(pack.error());
  const auto sheet = load_test_sheet(arguments.sheet, arguments.units);
  if (!sheet) return tl::unexpected(sheet.error());
  auto plan = make_plan(*pack, *sheet);
  if (!plan) {
    plan.error().where = arguments.sheet.string();
    return tl::unexpected(plan.error());
  }
  const Paper paper = arguments.paper == "letter" ? Paper::letter : Paper::a4;
  const auto written = write_plan(arguments.out, *pack, *sheet, *plan, paper);
  if (!written) return tl::unexpected(written.error());
  say << plan_text(*pack, *sheet, *plan, arguments.out);
  return ExitCode::pass;
}

}  // namespace

CLI::App& add_plan_command(CLI::App& app, PlanArguments& a) {
  CLI::App& plan = *app.add_subcommand("plan", "Arrange the modules of a test sheet");
  plan.add_option("--pack", a.pack, "Pack definition (JSON)")->required()->type_name("PACK.json");
  plan.add_option("--sheet", a.sheet, "Test sheet (CSV)")->required()->type_name("SHEET.csv");
  plan.add_option("--out", a.out, "Folder for the plan and the stacking sheet")
      ->required()
      ->type_name("DIR");
  add_units(plan, a.units);
  plan.add_option("--paper", a.paper, "Pages of the PDF: a4 or letter")
      ->check(CLI::IsMember({"a4", "letter"}))
      ->capture_default_str()
      ->type_name("PAPER");
  plan.footer(kSheetHelp);
  return plan;
}

Result<void> retire_plan_in(const std::filesystem::path& folder) {
  std::error_code error;
  if (!std::filesystem::is_directory(folder, error)) return {};
  return retire_old_plan(folder);
}

Result<ExitCode> run_plan(const PlanArguments& arguments, std::ostream& say) {
  const auto out = OutputFolder::open(arguments.out);
  if (!out) return tl::unexpected(out.error());
  if (const auto retired = retire_plan_in(arguments.out); !retired)
    return tl::unexpected(retired.error());
  return plan_into(arguments, say);
}

}  // namespace plumbstack
