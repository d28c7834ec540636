// What the parts of job_state share.
#pragma once

#include <algorithm>

#include "plumbstack/job_state.hpp"

namespace plumbstack {

/// The last fact of this kind with its entry; nullptr where there is none.
template <typename T>
struct Found {
  const T* fact = nullptr;
  int entry = 0;
};
template <typename T>
Found<T> last_of(const std::vector<JobEntry>& entries) {
  Found<T> found;
  for (const JobEntry& one : entries)
    if (const auto* fact = std::get_if<T>(&one.fact)) found = {fact, one.place};
  return found;
}

/// The entries with the figures that count: those of the last correction stand in the entry it
/// corrects and in every correction of it. Done once or twice gives the same.
std::vector<JobEntry> with_corrections(std::vector<JobEntry> entries);

/// Entry of the last correction of this entry, 0 = none.
int correction_of(const std::vector<JobEntry>& entries, int place);

/// What verdict_now gives. @param entries with their corrections
VerdictState verdict_of(const std::vector<JobEntry>& entries);

/// Entry of the last plan that replaced another, 0 = none: other modules may be in the stack.
int last_new_plan(const std::vector<JobEntry>& entries);

/// Entry of the last lift, or of a plan that replaced another; 0 = the stack was left alone.
int last_disturbed(const std::vector<JobEntry>& entries);

/// Entry of the last that takes back a pass before it (a lift, a plan, a failed line about the
/// stack), 0 = none. @param entries with their corrections
int last_doubted(const std::vector<JobEntry>& entries);

const CheckLine* line_named(const Opened& opened, const std::string& id);

/// Why the figures or the remark of a tick don't do; "" where they do.
std::string fault_of(const CheckLine& line, const LineTicked& tick);

/// By slot; those replaced last.
std::vector<JobModule> modules_now(const std::vector<JobEntry>& entries);

/// "0.05 MΩ"; "4 figures, 7.8 to 7.9 V".
std::string figures_text(const CheckLine& line, const std::vector<double>& figures);

/// Every line of the check list against the entries. @param entries with their corrections
std::vector<LineState> lines_now(const std::vector<JobEntry>& entries, const VerdictState& verdict,
                                 const std::vector<JobModule>& modules);

/// "slot 7", "slots 3, 5 and 9".
std::string named_slots(const std::vector<int>& slots);

/// "4 entries", "1 entry": the plural as given.
std::string counted(std::size_t many, const std::string& one, const std::string& more);

}  // namespace plumbstack
