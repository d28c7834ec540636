// Voltages by the arithmetic of the electrical preview where the record holds what that needs, and
// in any case what was measured.
#include "plumbstack/electrical.hpp"

#include <fmt/format.h>

#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"
#include "plumbstack/electrical_files.hpp"

namespace plumbstack::report {
namespace {

const PlanAttached* last_plan(const Job& job) {
  const PlanAttached* last = nullptr;
  for (const JobEntry& entry : job.entries)
    if (const auto* plan = std::get_if<PlanAttached>(&entry.fact)) last = plan;
  return last;
}

std::vector<MeterReading> block_readings(const Job& job, std::size_t blocks) {
  for (const LineState& line : job.state.lines) {
    if (line.line.id != "block-voltages" || line.line.unit != "V") continue;
    if (line.figures.size() != blocks) continue;
    std::vector<MeterReading> readings;
    for (const double figure : line.figures) readings.push_back({figure, false});
    return readings;
  }
  return {};
}

// The modules' voltages by the plan in the record, else nominal.
VoltsOfModules volts(const Job& job, const Pack& pack) {
  std::vector<PlannedModule> planned;
  std::string why;
  if (const PlanAttached* plan = last_plan(job)) {
    const auto text = job.source.bytes_of(plan->file);
    auto read = text ? parse_planned_modules(*text, plan->file.name, pack)
                     : Result<std::vector<PlannedModule>>(tl::unexpected(text.error()));
    if (read)
      planned = std::move(*read);
    else
      why = "The plan's voltages are not used: it " + read.error().message + ".";
  }
  // Without a sheet there is nothing that could be wrong with it.
  VoltsOfModules all = *volts_of_modules(pack, planned, nullptr, "", std::nullopt);
  if (!why.empty()) all.assumptions.push_back(why);
  return all;
}

void add_signs(const Job& job, const Pack& pack, ElectricalInput& input) {
  input.stacked.resize(static_cast<std::size_t>(pack.modules));
  const VerdictState& verdict = job.state.verdict;
  if (verdict.result == 0 || verdict.verdict == JobVerdict::voided) {
    input.assumptions.push_back("Signs: as planned; there is no photo that holds now.");
    return;
  }
  const KeptFile& file = std::get<ResultAttached>(entry_of(job, verdict.result).fact).file;
  const auto text = job.source.bytes_of(file);
  const auto result = text ? parse_check_result(*text, file.name, pack)
                           : Result<CheckResult>(tl::unexpected(text.error()));
  if (!result) {
    input.assumptions.push_back("Signs: as planned; the result does not give them (" +
                                result.error().message + ").");
    return;
  }
  SeenStack seen = seen_stack(*result, file.name, pack);
  input.stacked = std::move(seen.stacked);
  input.signs_seen = true;
  for (std::string& text_of : seen.assumptions) input.assumptions.push_back(std::move(text_of));
}

std::string shown(const std::optional<double>& v) {
  return v ? fixed(*v, 2) : "not known";
}
std::string shown(VoltSpan span) {
  return fixed(span.low, 2) + " to " + fixed(span.high, 2);
}

std::string measured(const BlockPreview& block) {
  if (!block.reading.v) return "not measured";
  return fixed(*block.reading.v, 2) + (block.state == ReadingState::within ? "" : " ✗ outside");
}

std::string span_text(const std::vector<int>& slots) {
  return slots.size() == 1 ? std::to_string(slots.front())
                           : fmt::format("{} to {}", slots.front(), slots.back());
}

// As stacked only where signs were seen.
Table block_table(const ElectricalInput& input, const Preview& preview) {
  Table table{{{"Block", 0.7, Align::middle},
               {"Slots", 1},
               {"As intended, V", 1.1, Align::right},
               {"Meter may show, V", 1.5, Align::right},
               {"Measured, V", 1.4, Align::right}},
              {}};
  for (const BlockPreview& block : preview.blocks)
    table.rows.push_back({{std::to_string(block.block), span_text(block.slots),
                           fixed(block.intended_v, 2), shown(block.meter), measured(block)},
                          false});
  table.rows.push_back({{"all", "", fixed(preview.intended_v, 2), shown(preview.meter), ""}, true});
  if (!input.signs_seen) return table;
  const auto stacked = table.columns.begin() + 3;
  table.columns.insert(stacked, {"As stacked, V", 1.1, Align::right});
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const auto& v =
        i < preview.blocks.size() ? preview.blocks[i].as_stacked_v : preview.as_stacked_v;
    table.rows[i].cells.insert(table.rows[i].cells.begin() + 3, shown(v));
  }
  return table;
}

void add_preview(const Job& job, const Pack& pack, Section& section) {
  VoltsOfModules given = volts(job, pack);
  ElectricalInput input;
  input.modules = std::move(given.modules);
  input.assumptions = std::move(given.assumptions);
  add_signs(job, pack, input);
  input.readings = block_readings(job, slots_by_block(pack).size());
  const Preview preview = electrical_preview(pack, input);
  for (const Advice& advice : preview.advice)
    if (advice.weight != Outcome::as_intended)
      section.pieces.push_back(Paragraph{"✗ " + advice.message + ": " + advice.action + "."});
  section.pieces.push_back(block_table(input, preview));
  for (const std::string& text : preview.assumptions) section.pieces.push_back(Paragraph{text});
}

// "" where the figures are as they were typed.
std::string correction(const Job& job, const LineState& line) {
  if (line.corrected == 0) return "";
  const JobEntry& entry = entry_of(job, line.corrected);
  const auto& correction = std::get<FiguresCorrected>(entry.fact);
  return fmt::format("Corrected in entry {} by {}: {} was typed. {}", entry.place, entry.by,
                     figures_text(correction.was, line.line.unit), correction.reason);
}

Table figure_table(const Job& job) {
  Table table{
      {{"Measured", 2.6}, {"Figures", 3.2}, {"Limits", 1.8}, {"", 1}, {"Entry", 0.6, Align::right}},
      {}};
  for (const LineState& line : job.state.lines) {
    if (line.line.answer != Answer::figures) continue;
    const bool given = !line.figures.empty();
    const bool doubtful = line.standing == LineStanding::done && job.source.record.fault;
    table.rows.push_back(
        {{line.line.text, given ? figures_text(line.figures, line.line.unit) : "not measured",
          limits_text(line.line), doubtful ? "not verified" : name_of(line.standing),
          line.entry == 0 ? "" : std::to_string(line.entry)},
         false,
         correction(job, line)});
  }
  return table;
}

}  // namespace

void add_electrical(const Job& job, Document& document) {
  Section section{"Electrical", false, {}};
  if (job.pack && job.pack->electrical)
    add_preview(job, *job.pack, section);
  else
    section.pieces.push_back(
        Paragraph{"The pack definition gives no cells and volts, so nothing can be worked out; "
                  "what was measured stands below."});
  section.pieces.push_back(figure_table(job));
  document.sections.push_back(std::move(section));
}

}  // namespace plumbstack::report
