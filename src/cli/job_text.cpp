#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "job_parts.hpp"

namespace plumbstack::job {
namespace {

const char* box(LineStanding standing) {
  switch (standing) {
    case LineStanding::open: return "[ ]";
    case LineStanding::done: return "[x]";
    case LineStanding::failed: return "[!]";
    case LineStanding::voided: return "[-]";
  }
  return "";
}

std::string standing_of(const JobState& state) {
  if (state.closed_at.empty()) return "open";
  return state.abandoned.empty() ? "closed" : "abandoned";
}

std::string head_lines(const JobState& state) {
  std::string text = fmt::format("{}  {}, {} modules, {}\n", state.number, state.opened.pack_id,
                                 state.opened.modules, standing_of(state)) +
                     fmt::format("  opened {} by {}\n", state.opened_at, state.technician);
  if (!state.opened.customer.empty())
    text += fmt::format("  customer's reference: {}\n", state.opened.customer);
  if (!state.closed_at.empty())
    text += fmt::format("  {} {} by {}{}\n", standing_of(state), state.closed_at, state.closed_by,
                        state.abandoned.empty() ? "" : ": " + state.abandoned);
  return text;
}

std::string verdict_lines(const VerdictState& verdict) {
  std::string text = fmt::format("Verdict now valid: {}", name_of(verdict.verdict));
  if (verdict.result != 0) text += fmt::format(", from the result in entry {}", verdict.result);
  if (verdict.voided_by != 0) text += fmt::format(", taken back by entry {}", verdict.voided_by);
  text += "\n";
  if (!verdict.why.empty()) text += "  " + verdict.why + "\n";
  for (const int entry : verdict.confirmations)
    text += fmt::format("  a reading confirmed by a person: entry {}\n", entry);
  return text;
}

// What an open line of figures asks for.
std::string asked_figures(const CheckLine& line) {
  if (line.answer != Answer::figures) return "";
  std::string text =
      line.count == 1 ? "in " + line.unit : fmt::format("{} figures in {}", line.count, line.unit);
  if (line.least) text += fmt::format(", at least {:.4g}", *line.least);
  if (line.most) text += fmt::format(", at most {:.4g}", *line.most);
  if (line.spread) text += fmt::format(", at most {:.4g} apart", *line.spread);
  return text;
}

std::string list_lines(const JobState& state) {
  std::string text = "Check list\n";
  Stage stage = Stage::before;
  for (const LineState& one : state.lines) {
    if (one.line.stage != stage) text += "\n";
    stage = one.line.stage;
    text += fmt::format("  {} {:<18} {}\n", box(one.standing), one.line.id, one.line.text);
    std::string more =
        one.standing == LineStanding::open && one.says.empty() ? asked_figures(one.line) : one.says;
    if (one.standing == LineStanding::failed || one.standing == LineStanding::voided)
      more = std::string(name_of(one.standing)) + (more.empty() ? "" : ": " + more);
    if (one.entry != 0) more += fmt::format("{}(entry {})", more.empty() ? "" : "  ", one.entry);
    if (!more.empty()) text += fmt::format("      {:<18} {}\n", "", more);
  }
  const bool done = !state.signed_by.empty();
  return text + fmt::format("\n  {} {:<18} {}\n", done ? "[x]" : "[ ]", "second person",
                            done ? "signed by " + state.signed_by
                                 : std::string("signs before the job is closed"));
}

std::string module_lines(const JobState& state) {
  std::string text;
  for (const JobModule& one : state.modules)
    text += one.place == JobModule::replaced
                ? fmt::format("        {:<16} replaced\n", one.serial)
                : fmt::format("  {:>4}  {:<16} number {}, {}\n", one.slot, one.serial, one.number,
                              name_of(one.place));
  return text;
}

std::string fact_text(const Fact& fact) {
  if (const auto* result = std::get_if<ResultAttached>(&fact)) return result->verdict;
  if (const auto* tick = std::get_if<LineTicked>(&fact))
    return tick->line + (tick->good ? "" : ", failed");
  if (const auto* one = std::get_if<FiguresCorrected>(&fact))
    return fmt::format("{} of entry {}: {:g} -> {:g}; {}", one->line, one->corrects,
                       fmt::join(one->was, " "), fmt::join(one->figures, " "), one->reason);
  if (const auto* photo = std::get_if<PhotoAttached>(&fact)) return photo->shows;
  if (const auto* lifted = std::get_if<ModulesLifted>(&fact)) return lifted->reason;
  if (const auto* one = std::get_if<ReadingConfirmed>(&fact))
    return fmt::format("side {}, slot {}: {} {}", one->side, one->slot, one->mark, one->reads);
  return "";
}

std::string entry_lines(const std::vector<JobEntry>& entries) {
  std::string text;
  for (const JobEntry& one : entries)
    text += fmt::format("  {:>4}  {}  {:<10} {}  [{}]\n", one.place, one.at, kind_of(one.fact),
                        fact_text(one.fact), one.by);
  return text;
}

std::string chain_lines(const JobState& state, const std::vector<JobEntry>& entries) {
  std::string text;
  for (const std::vector<int>& chain : state.chains) {
    text += " ";
    for (std::size_t i = 0; i < chain.size(); ++i) {
      const Fact& fact = entries[static_cast<std::size_t>(chain[i] - 1)].fact;
      const auto* result = std::get_if<ResultAttached>(&fact);
      text += fmt::format("{}{} ({})", i == 0 ? " " : " -> ",
                          result ? "checked: " + result->verdict : "lifted", chain[i]);
    }
    text += "\n";
  }
  return text;
}

std::string block(const std::string& title, const std::string& lines) {
  return lines.empty() ? "" : "\n" + title + "\n" + lines;
}

std::string listed(const std::vector<std::string>& all) {
  std::string text;
  for (const std::string& one : all) text += "  " + one + "\n";
  return text;
}

}  // namespace

std::string caution() {
  return "Caution, high voltage. Qualified people only, with insulated tools and gloves: service "
         "plug\n"
         "out, wait for discharge, prove with a meter that no voltage is there. Local codes and\n"
         "licensed practice come first. This record replaces neither the meter nor the second "
         "person.\n";
}

std::string verdict_line(const VerdictState& verdict) {
  return fmt::format("verdict now valid: {}{}\n", name_of(verdict.verdict),
                     verdict.why.empty() ? "" : " (" + verdict.why + ")");
}

std::string acknowledged(const JobEntry& entry) {
  return fmt::format("{} entry {} {}\n", entry.job, entry.place, kind_of(entry.fact));
}

std::string job_text(const std::vector<JobEntry>& entries) {
  const JobState state = job_state(entries);
  return head_lines(state) + "\n" + verdict_lines(state.verdict) + "\n" + list_lines(state) +
         block("Modules", module_lines(state)) +
         block("Fault, mending, check again (entries)", chain_lines(state, entries)) +
         block("Odd", listed(state.remarks)) + block("Entries", entry_lines(entries)) +
         (state.closed_at.empty() ? "\n" + caution() : "");
}

std::string job_json(const std::vector<JobEntry>& entries) {
  using Json = nlohmann::ordered_json;
  const JobState state = job_state(entries);
  Json json{{"schema", "plumbstack/job-state/1"},
            {"job", state.number},
            {"pack", state.opened.pack_id},
            {"customer", state.opened.customer},
            {"technician", state.technician},
            {"opened_at", state.opened_at},
            {"closed_at", state.closed_at.empty() ? Json(nullptr) : Json(state.closed_at)},
            {"standing", standing_of(state)},
            {"verdict", name_of(state.verdict.verdict)},
            {"verdict_entry", state.verdict.result},
            {"voided_by", state.verdict.voided_by},
            {"confirmations", state.verdict.confirmations},
            {"signed_by", state.signed_by.empty() ? Json(nullptr) : Json(state.signed_by)},
            {"unfinished", state.unfinished},
            {"remarks", state.remarks},
            {"chains", state.chains},
            {"entries", state.entries}};
  json["lines"] = Json::array();
  for (const LineState& one : state.lines)
    json["lines"].push_back({{"id", one.line.id},
                             {"standing", name_of(one.standing)},
                             {"entry", one.entry},
                             {"says", one.says}});
  json["modules"] = Json::array();
  for (const JobModule& one : state.modules)
    json["modules"].push_back({{"slot", one.slot},
                               {"number", one.number},
                               {"serial", one.serial},
                               {"place", name_of(one.place)}});
  return json.dump(1) + "\n";
}

}  // namespace plumbstack::job
