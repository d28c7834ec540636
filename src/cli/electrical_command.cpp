#include "electrical_command.hpp"

#include <CLI/CLI.hpp>
#include <ostream>

#include "electrical_text.hpp"
#include "output_folder.hpp"
#include "plumbstack/electrical_files.hpp"
#include "plumbstack/electrical_record.hpp"

namespace plumbstack {
namespace {

constexpr const char* kElectricalHelp =
    "Voltages come from the test sheet, else from the plan, else they are the nominal ones of the\n"
    "pack definition. Signs come from result.json as plumbstack check wrote it; without it they "
    "are\n"
    "taken as planned.\n\n"
    "READINGS.csv has the columns block and voltage_v and one line for each block: volts with a\n"
    "decimal point, open where the meter shows no steady reading, nothing where it was not "
    "measured.\n"
    "Red lead on the tap that is to be positive.\n\n"
    "Example:\n"
    "  plumbstack electrical --pack models/packs/long-34.json --plan FL-0142/plan.json \\\n"
    "      --result FL-0142/result.json --meter readings.csv --out FL-0142\n\n"
    "Exit status: 0 nothing wrong, 1 something to fix, 2 not enough known, 64 wrong usage, 65 bad\n"
    "input, 70 a fault of the program's own, 74 an output that could not be written.";

void add_inputs(CLI::App& app, ElectricalArguments& a) {
  app.add_option("--pack", a.pack, "Pack definition (JSON)")->required()->type_name("PACK.json");
  CLI::Option* plan = app.add_option("--plan", a.plan, "Plan that plumbstack plan wrote");
  plan->type_name("PLAN.json");
  app.add_option("--sheet", a.sheet, "Test sheet (CSV), where the plan's voltages are out of date")
      ->needs(plan)
      ->type_name("SHEET.csv");
  app.add_option("--result", a.result, "Result that plumbstack check wrote")
      ->type_name("RESULT.json");
  app.add_option("--meter", a.meter, "Meter readings of the blocks (CSV)")
      ->type_name("READINGS.csv");
  app.add_option("--out", a.out, "Folder for the preview")->required()->type_name("DIR");
}

void add_figures(CLI::App& app, ElectricalArguments& a) {
  app.add_option("--negative-end", a.negative_end,
                 "Slot at which the pack's negative end is: first or last")
      ->check(CLI::IsMember({"first", "last"}))
      ->capture_default_str()
      ->type_name("END");
  const auto figure = [&](const char* option, auto& value, double low, double high,
                          const char* unit, const char* about) {
    return app.add_option(option, value, about)->check(CLI::Range(low, high))->type_name(unit);
  };
  figure("--meter-percent", a.accuracy.percent, 0, 20, "PERCENT",
         "Accuracy of the meter, share of the reading")
      ->capture_default_str();
  figure("--meter-digits", a.accuracy.digits, 0, 1000, "N",
         "Accuracy of the meter, steps of its last digit")
      ->capture_default_str();
  figure("--meter-step", a.accuracy.step_v, 0.00001, 10, "V", "One step of the last digit")
      ->capture_default_str();
  figure("--drift-mv", a.drift_mv, 0, 10000, "MV",
         "How far a measured module may have moved since (else twice the standard deviation)");
}

Result<ElectricalInput> input_of(const ElectricalArguments& arguments, const Pack& pack) {
  ElectricalInput input;
  std::vector<PlannedModule> planned;
  if (!arguments.plan.empty()) {
    auto plan = load_planned_modules(arguments.plan, pack);
    if (!plan) return tl::unexpected(plan.error());
    planned = std::move(*plan);
  }
  std::optional<TestSheet> sheet;
  if (!arguments.sheet.empty()) {
    auto read = load_test_sheet(arguments.sheet);
    if (!read) return tl::unexpected(read.error());
    sheet = std::move(*read);
  }
  std::optional<double> drift_v;
  if (arguments.drift_mv) drift_v = *arguments.drift_mv / 1000;
  auto volts =
      volts_of_modules(pack, planned, sheet ? &*sheet : nullptr, arguments.sheet.string(), drift_v);
  if (!volts) return tl::unexpected(volts.error());
  input.modules = std::move(volts->modules);
  input.assumptions = std::move(volts->assumptions);
  return input;
}

Result<void> add_what_was_seen(const ElectricalArguments& arguments, const Pack& pack,
                               ElectricalInput& input) {
  input.stacked.resize(static_cast<std::size_t>(pack.modules));
  input.negative_end = arguments.negative_end == "last" ? StackEnd::last : StackEnd::first;
  input.meter = arguments.accuracy;
  if (arguments.result.empty()) {
    input.assumptions.push_back("Signs: as planned; no photo of the stack was looked at.");
  } else {
    const auto result = load_check_result(arguments.result, pack);
    if (!result) return tl::unexpected(result.error());
    SeenStack seen = seen_stack(*result, arguments.result.string(), pack);
    input.stacked = std::move(seen.stacked);
    input.signs_seen = true;
    for (std::string& text : seen.assumptions) input.assumptions.push_back(std::move(text));
  }
  if (arguments.meter.empty()) return {};
  auto readings =
      load_meter_readings(arguments.meter, static_cast<int>(slots_by_block(pack).size()));
  if (!readings) return tl::unexpected(readings.error());
  input.readings = std::move(*readings);
  return {};
}

ExitCode exit_code_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::as_intended: return ExitCode::pass;
    case Outcome::fix: return ExitCode::fix;
    case Outcome::not_known: return ExitCode::retake;
  }
  return ExitCode::internal;
}

Result<ExitCode> preview_into(const ElectricalArguments& arguments, std::ostream& say) {
  const auto pack = load_pack(arguments.pack);
  if (!pack) return tl::unexpected(pack.error());
  if (!pack->electrical)
    return fail(ErrorCode::pack_invalid,
                "has no section electrical; a preview needs the cells and volts it gives",
                arguments.pack.string());
  auto input = input_of(arguments, *pack);
  if (!input) return tl::unexpected(input.error());
  if (const auto added = add_what_was_seen(arguments, *pack, *input); !added)
    return tl::unexpected(added.error());
  const Preview preview = electrical_preview(*pack, *input);
  const auto written = write_preview(arguments.out, *pack, *input, preview);
  if (!written) return tl::unexpected(written.error());
  say << electrical_text(*pack, *input, preview, arguments.out);
  return exit_code_of(preview.outcome);
}

}  // namespace

CLI::App& add_electrical_command(CLI::App& app, ElectricalArguments& a) {
  CLI::App& electrical =
      *app.add_subcommand("electrical", "Preview voltages and bus bars of one stack");
  add_inputs(electrical, a);
  add_figures(electrical, a);
  electrical.footer(kElectricalHelp);
  return electrical;
}

Result<void> retire_preview_in(const std::filesystem::path& folder) {
  std::error_code error;
  if (!std::filesystem::is_directory(folder, error)) return {};
  return retire_old_preview(folder);
}

Result<ExitCode> run_electrical(const ElectricalArguments& arguments, std::ostream& say) {
  const auto out = OutputFolder::open(arguments.out);
  if (!out) return tl::unexpected(out.error());
  if (const auto retired = retire_preview_in(arguments.out); !retired)
    return tl::unexpected(retired.error());
  return preview_into(arguments, say);
}

}  // namespace plumbstack
