#include "plumbstack/job_state.hpp"

#include <cctype>

#include "state_parts.hpp"

namespace plumbstack {
namespace {

// Letters and digits in small letters: "A. Person" and "a person" are one.
std::string plain_name(const std::string& name) {
  std::string plain;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x80 || std::isalnum(byte)) plain += static_cast<char>(std::tolower(byte));
  }
  return plain;
}

// A signature is for the record as it was: whatever comes after it needs a new one.
std::string signed_now(const std::vector<JobEntry>& entries) {
  for (auto one = entries.rbegin(); one != entries.rend(); ++one) {
    if (std::holds_alternative<Signed>(one->fact)) return one->by;
    if (!std::holds_alternative<Closed>(one->fact)) return "";
  }
  return "";
}

// From one result to the next that follows it, with the lifts between.
std::vector<std::vector<int>> chains_of(const std::vector<JobEntry>& entries) {
  std::vector<std::vector<int>> chains;
  for (const JobEntry& entry : entries) {
    if (const auto* result = std::get_if<ResultAttached>(&entry.fact)) {
      if (result->rechecks == 0 || chains.empty()) chains.emplace_back();
      chains.back().push_back(entry.place);
    }
    if (const auto* lifted = std::get_if<ModulesLifted>(&entry.fact))
      if (lifted->because != 0 && !chains.empty()) chains.back().push_back(entry.place);
  }
  chains.erase(std::remove_if(chains.begin(), chains.end(),
                              [](const std::vector<int>& one) { return one.size() < 2; }),
               chains.end());
  return chains;
}

std::string listed(const CheckLine* line, const std::vector<double>& figures) {
  return line ? figures_text(*line, figures) : "?";
}

// What is odd about one entry, in the light of those before it; "" where nothing is.
std::string remark_on(const std::vector<JobEntry>& entries, const JobEntry& entry) {
  const Opened& opened = std::get<Opened>(entries.front().fact);
  if (const auto* one = std::get_if<FiguresCorrected>(&entry.fact)) {
    const CheckLine* line = line_named(opened, one->line);
    return one->line + " of entry " + std::to_string(one->corrects) + " corrected by " + entry.by +
           " from " + listed(line, one->was) + " to " + listed(line, one->figures) + ": " +
           one->reason;
  }
  // Only a failed answer is taken before the pass; the work was begun all the same.
  const auto* tick = std::get_if<LineTicked>(&entry.fact);
  const CheckLine* line = tick && !tick->good ? line_named(opened, tick->line) : nullptr;
  if (!line || line->stage != Stage::bussed) return "";
  const std::vector<JobEntry> before(entries.begin(), entries.begin() + entry.place - 1);
  if (verdict_now(before).verdict == JobVerdict::pass) return "";
  return tick->line + " out of order: the stack had not passed yet";
}

// EXIF has no time zone, so both are times of a clock on the wall.
void look_at_times(const std::vector<JobEntry>& entries, std::vector<std::string>& remarks) {
  const Opened& opened = std::get<Opened>(entries.front().fact);
  const auto look = [&](const KeptFile& file, const std::string& taken_at, int entry) {
    if (!taken_at.empty() && taken_at < opened.local_time)
      remarks.push_back("entry " + std::to_string(entry) + ": " + file.name + " was taken " +
                        taken_at + ", before the job was opened");
  };
  for (const JobEntry& entry : entries) {
    if (const auto* result = std::get_if<ResultAttached>(&entry.fact))
      for (const ResultPhoto& photo : result->photos) look(photo.file, photo.taken_at, entry.place);
    if (const auto* photo = std::get_if<PhotoAttached>(&entry.fact))
      look(photo->file, photo->taken_at, entry.place);
  }
}

std::vector<std::string> remarks_on(const std::vector<JobEntry>& entries) {
  std::vector<std::string> remarks;
  look_at_times(entries, remarks);
  const auto compared = last_of<SerialsCompared>(entries);
  const auto first_result = std::find_if(entries.begin(), entries.end(), [](const JobEntry& one) {
    return std::holds_alternative<ResultAttached>(one.fact);
  });
  if (compared.fact && !last_of<PlanAttached>(entries).fact)
    remarks.push_back("entry " + std::to_string(compared.entry) +
                      ": serials were read, and there is no plan to compare them with");
  if (compared.fact && first_result != entries.end() && compared.entry > first_result->place)
    remarks.push_back("entry " + std::to_string(compared.entry) +
                      ": serials compared only after the stack was photographed");
  for (const JobEntry& entry : entries)
    if (const std::string odd = remark_on(entries, entry); !odd.empty())
      remarks.push_back("entry " + std::to_string(entry.place) + ": " + odd);
  return remarks;
}

std::vector<std::string> unfinished_lines(const std::vector<LineState>& lines) {
  std::vector<std::string> open;
  for (const LineState& state : lines)
    if (state.standing != LineStanding::done)
      open.push_back(state.line.id + " is " + name_of(state.standing));
  return open;
}

void close(const JobEntry& last, JobState& state) {
  const auto* closed = std::get_if<Closed>(&last.fact);
  if (!closed) return;
  state.closed_at = last.at;
  state.closed_by = last.by;
  state.abandoned = closed->abandoned;
}

}  // namespace

int last_new_plan(const std::vector<JobEntry>& entries) {
  int last = 0;
  bool planned = false;
  for (const JobEntry& entry : entries) {
    const bool plan = std::holds_alternative<PlanAttached>(entry.fact);
    if (plan && planned) last = entry.place;
    planned = planned || plan;
  }
  return last;
}

int last_disturbed(const std::vector<JobEntry>& entries) {
  return std::max(last_new_plan(entries), last_of<ModulesLifted>(entries).entry);
}

const CheckLine* line_named(const Opened& opened, const std::string& id) {
  const auto at = std::find_if(opened.check_list.begin(), opened.check_list.end(),
                               [&](const CheckLine& line) { return line.id == id; });
  return at == opened.check_list.end() ? nullptr : &*at;
}

std::string counted(std::size_t many, const std::string& one, const std::string& more) {
  return std::to_string(many) + " " + (many == 1 ? one : more);
}

std::string named_slots(const std::vector<int>& slots) {
  std::string text = slots.size() == 1 ? "slot " : "slots ";
  for (std::size_t i = 0; i < slots.size(); ++i)
    text += (i == 0 ? "" : i + 1 == slots.size() ? " and " : ", ") + std::to_string(slots[i]);
  return text;
}

bool same_person(const std::string& a, const std::string& b) {
  return plain_name(a) == plain_name(b);
}

JobState job_state(const std::vector<JobEntry>& entries) {
  JobState state;
  const JobEntry& first = entries.front();
  state.number = first.job;
  state.opened = std::get<Opened>(first.fact);
  state.technician = first.by;
  state.opened_at = first.at;
  state.entries = static_cast<int>(entries.size());
  const std::vector<JobEntry> corrected = with_corrections(entries);
  state.verdict = verdict_of(corrected);
  state.modules = modules_now(entries);
  state.lines = lines_now(corrected, state.verdict, state.modules);
  state.signed_by = signed_now(entries);
  state.chains = chains_of(entries);
  state.remarks = remarks_on(entries);
  state.unfinished = unfinished_lines(state.lines);
  close(entries.back(), state);
  return state;
}

}  // namespace plumbstack
