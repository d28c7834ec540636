// Every line of the check list: what was last said to it, and whether that still counts.
#include <fmt/format.h>

#include <set>

#include "state_parts.hpp"

namespace plumbstack {
namespace {

std::string said(const CheckLine& line, const LineTicked& tick) {
  std::string text = tick.figures.empty() ? "" : figures_text(line, tick.figures);
  if (!tick.note.empty()) text += (text.empty() ? "" : "; ") + tick.note;
  return text;
}

std::string figure_fault(const CheckLine& line, const std::vector<double>& figures) {
  if (figures.size() != static_cast<std::size_t>(line.count))
    return fmt::format("{} given, the line asks for {}", figures.size(), line.count);
  const auto [low, high] = std::minmax_element(figures.begin(), figures.end());
  if (line.least && *low < *line.least)
    return fmt::format("{:g} {} is under {:g} {}", *low, line.unit, *line.least, line.unit);
  if (line.most && *high > *line.most)
    return fmt::format("{:g} {} is over {:g} {}", *high, line.unit, *line.most, line.unit);
  // Figures have three decimals or so: a spread of just the limit must not fail by rounding.
  if (line.spread && *high - *low > *line.spread + 1e-9)
    return fmt::format("they differ by {:g} {}, the limit is {:g} {}", *high - *low, line.unit,
                       *line.spread, line.unit);
  return "";
}

int last_fault_found(const std::vector<JobEntry>& entries) {
  int last = 0;
  for (const JobEntry& entry : entries)
    if (const auto* result = std::get_if<ResultAttached>(&entry.fact);
        result && result->verdict == "fix")
      last = entry.place;
  return last;
}

// Before which entry an answer to this line does not count (any more), and why.
std::pair<int, const char*> counts_after(const std::vector<JobEntry>& entries,
                                         const CheckLine& line, const VerdictState& verdict) {
  if (line.stage == Stage::before)  // what was said of the modules was said of others
    return {line.voids_pass ? last_new_plan(entries) : 0, "another plan came after it"};
  if (line.stage == Stage::stacked) {
    // A fault is mended by moving modules, whether or not somebody recorded it.
    const int disturbed = last_disturbed(entries), fault = last_fault_found(entries);
    return fault > disturbed ? std::pair{fault, "the check found a fault after it"}
                             : std::pair{disturbed, "modules were lifted after it"};
  }
  if (verdict.verdict == JobVerdict::pass)
    return {verdict.since, "the stack had not passed when it was done"};
  constexpr int kNever = 1 << 30;
  return {kNever, "the stack has no valid pass now"};
}

LineState answered(const std::vector<JobEntry>& entries, const CheckLine& line) {
  LineState state{line, LineStanding::open, 0, ""};
  for (const JobEntry& entry : entries) {
    if (const auto* tick = std::get_if<LineTicked>(&entry.fact); tick && tick->line == line.id) {
      const std::string fault = fault_of(line, *tick);
      state.standing = fault.empty() ? LineStanding::done : LineStanding::failed;
      state.entry = entry.place;
      state.says = fault.empty() ? said(line, *tick) : fault;
      state.figures = tick->figures;
      state.corrected = correction_of(entries, entry.place);
      if (state.corrected != 0)
        state.says += fmt::format(" (corrected in entry {})", state.corrected);
    }
    if (const auto* photo = std::get_if<PhotoAttached>(&entry.fact);
        photo && photo->shows == line.id)
      state = {line, LineStanding::done, entry.place, photo->file.name};
  }
  return state;
}

LineState line_now(const std::vector<JobEntry>& entries, const CheckLine& line,
                   const VerdictState& verdict) {
  LineState state = answered(entries, line);
  const auto [after, why] = counts_after(entries, line, verdict);
  if (state.standing == LineStanding::done && state.entry <= after) {
    state.standing = LineStanding::voided;
    state.says = why;
  }
  return state;
}

LineState pass_line(const CheckLine& line, const VerdictState& verdict) {
  LineState state{line, LineStanding::open, verdict.since, verdict.why};
  switch (verdict.verdict) {
    case JobVerdict::none: break;
    case JobVerdict::pass: state.standing = LineStanding::done; break;
    case JobVerdict::fix:
    case JobVerdict::retake: state.standing = LineStanding::failed; break;
    case JobVerdict::voided:
      state.standing = LineStanding::voided;
      state.entry = verdict.voided_by;
      break;
  }
  if (!verdict.confirmations.empty() && state.standing == LineStanding::done)
    state.says =
        counted(verdict.confirmations.size(), "reading", "readings") + " confirmed by a person";
  return state;
}

LineState serials_line(const std::vector<JobEntry>& entries, const CheckLine& line,
                       const Opened& opened, const std::vector<JobModule>& modules) {
  LineState state{line, LineStanding::open, last_of<SerialsCompared>(entries).entry, ""};
  std::vector<int> compared;
  std::set<std::string> serials;
  for (const JobModule& module : modules) {
    if (module.place == JobModule::replaced) continue;
    if (module.place == JobModule::differs) {
      state.standing = LineStanding::failed;
      state.says = fmt::format("slot {} holds {}, which is not what is planned there", module.slot,
                               module.serial);
      return state;
    }
    if (module.place == JobModule::compared) compared.push_back(module.slot);
    if (!serials.insert(module.serial).second) {
      state.standing = LineStanding::failed;
      state.says = module.serial + " stands in two slots";
      return state;
    }
  }
  const bool planned = compared.empty() || last_of<PlanAttached>(entries).fact != nullptr;
  state.says = fmt::format("{} of {} {}", compared.size(), opened.modules,
                           planned ? "compared" : "read; no plan to compare them with");
  if (compared.size() == static_cast<std::size_t>(opened.modules))
    state.standing = LineStanding::done;
  return state;
}

}  // namespace

std::string figures_text(const CheckLine& line, const std::vector<double>& figures) {
  if (figures.empty()) return "nothing";
  if (figures.size() == 1) return fmt::format("{:g} {}", figures.front(), line.unit);
  const auto [low, high] = std::minmax_element(figures.begin(), figures.end());
  return fmt::format("{} figures, {:g} to {:g} {}", figures.size(), *low, *high, line.unit);
}

std::string fault_of(const CheckLine& line, const LineTicked& tick) {
  if (!tick.good) return tick.note.empty() ? "not in order" : tick.note;
  if (line.answer == Answer::figures) return figure_fault(line, tick.figures);
  return "";
}

std::vector<LineState> lines_now(const std::vector<JobEntry>& entries, const VerdictState& verdict,
                                 const std::vector<JobModule>& modules) {
  const Opened& opened = std::get<Opened>(entries.front().fact);
  std::vector<LineState> lines;
  for (const CheckLine& line : opened.check_list) {
    if (line.answer == Answer::pass)
      lines.push_back(pass_line(line, verdict));
    else if (line.answer == Answer::serials)
      lines.push_back(serials_line(entries, line, opened, modules));
    else
      lines.push_back(line_now(entries, line, verdict));
  }
  return lines;
}

const char* name_of(LineStanding standing) {
  switch (standing) {
    case LineStanding::open: return "open";
    case LineStanding::done: return "done";
    case LineStanding::failed: return "failed";
    case LineStanding::voided: return "voided";
  }
  return "";
}

}  // namespace plumbstack
