// A pass holds as long as nothing came after it that could make it untrue. A person's word lifts a
// reading that the program was unsure of and nothing else: not a fault, not a blurred photo, not a
// side that is missing. If the person reads something else than was planned, that is a fault.
#include <optional>

#include "state_parts.hpp"

namespace plumbstack {
namespace {

struct Reading {
  std::string side, mark;
  int slot = 0;
  bool operator==(const Reading&) const = default;
};

Reading reading_of(const ReadingConfirmed& c) {
  return {c.side, c.mark, c.slot};
}

bool holds_back(const ResultFinding& finding) {
  return finding.severity != "note";
}

// Sides of which the result has no photo although the job asks for one.
std::vector<std::string> sides_short(const Opened& opened, const ResultAttached& result) {
  std::vector<std::string> shorts;
  for (const std::string& side : opened.required_sides) {
    const bool there = std::any_of(result.photos.begin(), result.photos.end(),
                                   [&](const ResultPhoto& photo) { return photo.side == side; });
    if (!there) shorts.push_back(side);
  }
  return shorts;
}

struct Confirmed {
  std::vector<Reading> readings;
  std::vector<int> entries;
  std::string contradiction;  // of the first one that reads something else than was planned
  int contradicted_by = 0;
};

Confirmed confirmed_for(const std::vector<JobEntry>& entries, int result) {
  Confirmed all;
  for (const JobEntry& entry : entries) {
    const auto* one = std::get_if<ReadingConfirmed>(&entry.fact);
    if (!one || one->result != result) continue;
    all.readings.push_back(reading_of(*one));
    all.entries.push_back(entry.place);
    if (one->reads == one->planned || all.contradicted_by != 0) continue;
    all.contradicted_by = entry.place;
    all.contradiction = entry.by + " reads " + one->mark + " " + one->reads + " in slot " +
                        std::to_string(one->slot) + ", planned is " + one->planned;
  }
  return all;
}

// What still holds back a retake after the confirmations; "" where nothing does.
std::string still_unsure(const Opened& opened, const ResultAttached& result,
                         const Confirmed& confirmed) {
  const auto shorts = sides_short(opened, result);
  if (!shorts.empty()) return "no photo of side " + shorts.front();
  for (const ResultFinding& finding : result.findings) {
    if (!holds_back(finding)) continue;
    const std::string mark = confirmable_mark(finding.code);
    if (finding.severity != "retake" || mark.empty() || finding.slots.empty())
      return finding.code + ": " + finding.message;
    for (const int slot : finding.slots)
      if (std::count(confirmed.readings.begin(), confirmed.readings.end(),
                     Reading{finding.side, mark, slot}) == 0)
        return finding.code + ": " + finding.message;
  }
  return "";
}

std::string first_fault(const ResultAttached& result, const std::string& severity) {
  for (const ResultFinding& finding : result.findings)
    if (finding.severity == severity) return finding.code + ": " + finding.message;
  return "the check says " + result.verdict;
}

VerdictState judged(const Opened& opened, const ResultAttached& result, int place,
                    const Confirmed& confirmed) {
  VerdictState now;
  now.result = now.since = place;
  if (result.verdict == "fix") {
    now.verdict = JobVerdict::fix;
    now.why = first_fault(result, "fix");
    return now;
  }
  if (confirmed.contradicted_by != 0) {
    now.verdict = JobVerdict::fix;
    now.since = confirmed.contradicted_by;
    now.why = confirmed.contradiction;
    return now;
  }
  const std::string unsure = still_unsure(opened, result, confirmed);
  // A retake without any finding that says why is no pass.
  const bool lifted = result.verdict == "pass" || !confirmed.entries.empty();
  if (!unsure.empty() || !lifted) {
    now.verdict = JobVerdict::retake;
    now.why = unsure.empty() ? first_fault(result, "retake") : unsure;
    return now;
  }
  now.verdict = JobVerdict::pass;
  now.confirmations = confirmed.entries;
  if (!confirmed.entries.empty()) now.since = confirmed.entries.back();
  return now;
}

// Why the entry takes back a pass before it; "" where it does not.
std::string doubt_of(const Opened& opened, const Fact& fact) {
  if (const auto* lifted = std::get_if<ModulesLifted>(&fact))
    return named_slots(lifted->slots) + " lifted: " + lifted->reason;
  if (std::holds_alternative<PlanAttached>(fact)) return "a plan came after it";
  std::optional<LineTicked> said;
  if (const auto* tick = std::get_if<LineTicked>(&fact)) said = *tick;
  // Right figures that are bad put the stack in doubt from when they were known.
  if (const auto* one = std::get_if<FiguresCorrected>(&fact))
    said = LineTicked{one->line, true, one->figures, ""};
  const CheckLine* line = said ? line_named(opened, said->line) : nullptr;
  if (!line || !line->voids_pass) return "";
  const std::string fault = fault_of(*line, *said);

  return fault.empty() ? "" : line->id + " failed: " + fault;
}

}  // namespace

std::string confirmable_mark(const std::string& code) {
  for (const char* mark : {"number", "vent", "sign"})
    if (code == std::string(mark) + ".unsure") return mark;
  return "";
}

VerdictState verdict_of(const std::vector<JobEntry>& entries) {
  const auto opened = last_of<Opened>(entries);
  const auto result = last_of<ResultAttached>(entries);
  if (!opened.fact || !result.fact) return {};
  VerdictState now =
      judged(*opened.fact, *result.fact, result.entry, confirmed_for(entries, result.entry));
  // A lift after a fault is how the fault is mended: the fault stands until the next check. A lift
  // between the photos and the confirmation takes the photos' word away as well.
  if (now.verdict != JobVerdict::pass) return now;
  for (const JobEntry& entry : entries) {
    if (entry.place <= now.result) continue;
    now.why = doubt_of(*opened.fact, entry.fact);
    if (now.why.empty()) continue;
    now.verdict = JobVerdict::voided;
    now.voided_by = entry.place;
    break;
  }
  return now;
}

VerdictState verdict_now(const std::vector<JobEntry>& entries) {
  return verdict_of(with_corrections(entries));
}

int last_doubted(const std::vector<JobEntry>& entries) {
  const Opened& opened = std::get<Opened>(entries.front().fact);
  int last = 0;
  for (const JobEntry& entry : entries)
    if (!doubt_of(opened, entry.fact).empty()) last = entry.place;
  return last;
}

const char* name_of(JobVerdict verdict) {
  switch (verdict) {
    case JobVerdict::none: return "none";
    case JobVerdict::pass: return "pass";
    case JobVerdict::fix: return "fix";
    case JobVerdict::retake: return "retake";
    case JobVerdict::voided: return "voided";
  }
  return "";
}

}  // namespace plumbstack
