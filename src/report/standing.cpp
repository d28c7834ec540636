// A report is looked at from afar, copied, and faxed: what is no pass must look so. So there is one
// way to a good banner, and everything else ends in a black one.
#include <fmt/format.h>

#include "parts.hpp"

namespace plumbstack::report {
namespace {

constexpr std::size_t kMost = 260;  // characters of a line that somebody wrote

const char* open_headline(JobVerdict verdict) {
  switch (verdict) {
    case JobVerdict::none: return "OPEN: NOT CHECKED YET";
    case JobVerdict::pass: return "OPEN: NOT FINISHED";
    case JobVerdict::fix: return "OPEN: FIX";
    case JobVerdict::retake: return "OPEN: RETAKE PHOTOS";
    case JobVerdict::voided: return "OPEN: PASS TAKEN BACK";
  }
  return "OPEN";
}

const char* what_lifts(JobVerdict verdict) {
  switch (verdict) {
    case JobVerdict::none: return "Photos of all sides have to be checked.";
    case JobVerdict::pass: return "";
    case JobVerdict::fix:
      return "What lifts it: the stack is mended, photographed again, and the photos pass. No "
             "person's word lifts a fault.";
    case JobVerdict::retake:
      return "What lifts it: photos that show enough; or, where only a reading is unsure, a person "
             "who reads it from its picture.";
    case JobVerdict::voided:
      return "What lifts it: new photos of all sides that pass, those from before are no proof; "
             "or, where only a mistyped figure took it back, its correction.";
  }
  return "";
}

std::string verdict_words(const VerdictState& verdict) {
  std::string text = fmt::format("Verdict now valid: {}", name_of(verdict.verdict));
  if (verdict.result != 0) text += fmt::format(", from the check in entry {}", verdict.result);
  if (verdict.voided_by != 0) text += fmt::format(", taken back by entry {}", verdict.voided_by);
  return text + ".";
}

std::string left_to_do(const JobState& state) {
  if (!state.unfinished.empty())
    return shortened(fmt::format("Left to do ({}): {}.", state.unfinished.size(),
                                 fmt::join(state.unfinished, ", ")),
                     kMost);
  if (state.signed_by.empty()) return "Left to do: a second person signs, then it is closed.";
  return "Left to do: it is to be closed, by somebody else than " + state.signed_by + ".";
}

Banner damaged(const Job& job) {
  const Error& fault = *job.source.record.fault;
  return {"NOT VERIFIED: RECORD DAMAGED",
          {shortened(fault.where + " " + fault.message, kMost) + ".",
           fmt::format("Entries 1 to {} are as they were written; nothing in this report counts as "
                       "a pass.",
                       job.entries.size())},
          false};
}

Banner abandoned(const JobState& state) {
  return {"CLOSED UNFINISHED: NO PASS",
          {shortened("Why: " + state.abandoned, kMost), verdict_words(state.verdict),
           left_to_do(state)},
          false};
}

// The steps see to it; a record from elsewhere need not have been made by them.
bool signed_by_others(const JobState& state) {
  return !state.signed_by.empty() && !same_person(state.signed_by, state.technician) &&
         !same_person(state.closed_by, state.signed_by);
}

Banner open(const JobState& state) {
  // No step closes such a job; a record from elsewhere might.
  Banner banner{state.closed_at.empty() ? open_headline(state.verdict.verdict) : "CLOSED: NO PASS",
                {verdict_words(state.verdict)},
                false};
  if (!state.verdict.why.empty())
    banner.lines.push_back(shortened("Why: " + state.verdict.why, kMost));
  if (const std::string lifts = what_lifts(state.verdict.verdict); !lifts.empty())
    banner.lines.push_back(lifts);
  banner.lines.push_back(left_to_do(state));
  return banner;
}

}  // namespace

Banner standing(const Job& job) {
  const JobState& state = job.state;
  if (job.source.record.fault) return damaged(job);
  if (!state.abandoned.empty()) return abandoned(state);
  const bool good = !state.closed_at.empty() && state.verdict.verdict == JobVerdict::pass &&
                    state.unfinished.empty() && signed_by_others(state);
  if (!good) return open(state);
  Banner banner{"CLOSED: PASS",
                {verdict_words(state.verdict),
                 fmt::format("Every line of the check list is done; signed by {}, closed by {}.",
                             state.signed_by, state.closed_by)},
                true};
  if (const std::size_t many = state.verdict.confirmations.size(); many > 0)
    banner.lines.push_back(
        fmt::format("{} confirmed by a person, see below.",
                    many == 1 ? "1 reading was" : fmt::format("{} readings were", many)));
  return banner;
}

}  // namespace plumbstack::report
