// Entries of a job -> how it stands: the verdict now valid, every line of the check list, and what
// still keeps it from being closed. A pure function of the entries.
#pragma once

#include <string>
#include <vector>

#include "plumbstack/job_entry.hpp"

namespace plumbstack {

enum class LineStanding {
  open,    // nothing yet
  done,    // counts
  failed,  // the last answer is bad or out of its limits
  voided,  // was done, but what came later (or what had to come first) takes it back
};
const char* name_of(LineStanding standing);

struct LineState {
  CheckLine line;
  LineStanding standing = LineStanding::open;
  int entry = 0;                     // that decides it, 0 = none
  std::string says;                  // the figures, the remark, or why it is failed or voided
  std::vector<double> figures = {};  // last given, as they were corrected
  int corrected = 0;                 // entry that corrects them, 0 = none
};

enum class JobVerdict { none, pass, fix, retake, voided };
const char* name_of(JobVerdict verdict);

struct VerdictState {
  JobVerdict verdict = JobVerdict::none;
  int result = 0;     // entry of the result it rests on, 0 = none
  int since = 0;      // entry with which it became so: the result or its last confirmation
  int voided_by = 0;  // entry that takes the pass back, 0 = none
  std::vector<int> confirmations;  // entries that lifted an unsure reading
  std::string why;                 // in words
};

/// A module as far as the record knows it.
struct JobModule {
  int slot = 0;
  int number = 0;  // sequence number
  std::string serial;
  enum Place { planned, compared, differs, replaced } place = planned;
  bool operator==(const JobModule&) const = default;
};
const char* name_of(JobModule::Place place);
JobModule::Place module_place(const std::string& name);  // of one of these names

struct JobState {
  std::string number;
  Opened opened;
  std::string technician, opened_at;
  std::string closed_at;  // empty = open
  std::string closed_by;
  std::string abandoned;  // reason; empty = not
  int entries = 0;
  VerdictState verdict;
  std::vector<LineState> lines;          // in the order of the check list
  std::string signed_by;                 // empty = no second person's signature counts now
  std::vector<JobModule> modules;        // by slot, those replaced last
  std::vector<std::vector<int>> chains;  // fix -> lift -> re-check: entries in their order
  std::vector<std::string> remarks;      // odd but not forbidden: capture times and the like
  std::vector<std::string> unfinished;   // empty = it may be signed
};

/// @param entries of one job as `unsealed` gives them, at least the one that opens it
JobState job_state(const std::vector<JobEntry>& entries);

/// The verdict now valid, see job_state.
VerdictState verdict_now(const std::vector<JobEntry>& entries);

/// Whether `person` may sign or close: the same name in other capitals or spacing is no second
/// person.
bool same_person(const std::string& a, const std::string& b);

/// A reading that a person may confirm from a picture: "number.unsure", "vent.unsure",
/// "sign.unsure" and nothing else; "" for any other code, else the mark.
std::string confirmable_mark(const std::string& code);

}  // namespace plumbstack
