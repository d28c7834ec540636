// The record of a job is a row of entries, each sealed by a hash that covers the one before it:
//
//   entry 1 "opened" ──hash──> entry 2 "ticked" ──hash──> ... ──hash──> entry n "closed"
//
// Nothing is ever changed or taken out; what turns out wrong is put right by a later entry.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "plumbstack/base/result.hpp"
#include "plumbstack/check_list.hpp"

namespace plumbstack {

/// A file kept beside the record under the SHA-256 of its bytes.
struct KeptFile {
  std::string name;    // as it was called when it was attached, without its folder
  std::string sha256;  // 64 lower-case hex digits
  bool operator==(const KeptFile&) const = default;
};

struct Opened {
  KeptFile pack;  // the pack definition as it was
  std::string pack_id;
  int modules = 0;
  int first_number = 1;    // sequence number of slot 1
  std::string customer;    // free text, may be empty
  std::string local_time;  // of the clock on the wall, as EXIF has it: "YYYY:MM:DD HH:MM:SS"
  std::vector<std::string> required_sides;
  std::vector<CheckLine> check_list;
};

struct PlannedSlot {
  int slot = 0;  // 1-based
  int number = 0;
  std::string serial;
};
struct PlanAttached {
  KeptFile file;
  std::vector<PlannedSlot> modules;
};

struct ResultPhoto {
  std::string side;
  KeptFile file;
  std::string verdict;   // of this side alone
  std::string taken_at;  // EXIF, local time; empty where the photo does not tell
};
struct ResultFinding {
  std::string code, severity;
  std::string side;  // empty where it concerns the whole stack
  std::vector<int> slots;
  std::string message;
};
struct ResultAttached {
  KeptFile file;  // result.json
  std::string verdict;
  std::vector<ResultPhoto> photos;
  std::vector<ResultFinding> findings;
  std::vector<std::string> missing_sides;
  std::vector<KeptFile> pictures;  // annotated photos and report, where they were there
  int rechecks = 0;                // entry of the result that this one follows, 0 = the first
};

struct PhotoAttached {
  KeptFile file;
  std::string shows;     // a line of the check list, or free text
  std::string taken_at;  // as in ResultPhoto
};

struct SlotSerial {
  int slot = 0;
  std::string serial;  // as typed or scanned from the module itself
};
struct SerialsCompared {
  std::vector<SlotSerial> modules;
};

struct LineTicked {
  std::string line;
  bool good = true;
  std::vector<double> figures;  // in the line's unit
  std::string note;
};

struct ModulesLifted {     // lifted, turned, moved or exchanged
  std::vector<int> slots;  // ascending
  std::string reason;
  int because = 0;  // entry of the last result before it, 0 = none
};

struct ReadingConfirmed {
  int result = 0;  // entry
  std::string side;
  int slot = 0;
  std::string mark;            // "number", "vent" or "sign"
  std::string reads, planned;  // "17"; "left"; "+"
  KeptFile crop;               // the picture that the person saw
};

struct Signed {
  std::string note;
};
struct Closed {
  std::string abandoned;  // why the job ends unfinished; empty = finished
};

/// Figures that were typed wrong: both stay, and the later ones count in the place of the former.
struct FiguresCorrected {
  int corrects = 0;  // entry, of a line that was ticked
  std::string line;
  std::vector<double> was, figures;  // in the line's unit
  std::string reason;
};

using Fact =
    std::variant<Opened, PlanAttached, ResultAttached, PhotoAttached, SerialsCompared, LineTicked,
                 ModulesLifted, ReadingConfirmed, Signed, Closed, FiguresCorrected>;

/// "opened", "plan", "result", "photo", "serials", "ticked", "lifted", "confirmed", "signed",
/// "closed", "corrected".
const char* kind_of(const Fact& fact);

struct JobEntry {
  std::string job;  // number of the job
  int place = 0;    // 1-based, without gaps
  std::string at;   // UTC, RFC 3339: "2026-11-28T18:44:11Z"
  std::string by;   // who did it
  Fact fact;
};

/// An entry as it is kept.
struct SealedEntry {
  int place = 0;
  std::string text;  // canonical: JSON without spaces, keys sorted by their bytes, UTF-8
  std::string hash;  // SHA-256 of the text, which holds the hash of the entry before
};

/// Hash before the first entry: 64 zeros.
extern const char* const kNoEntry;

/// Error: document_invalid, where a text is not UTF-8.
Result<SealedEntry> seal(const JobEntry& entry, const std::string& hash_before);

/// Errors: store_unusable, where a newer program wrote it; record_damaged.
Result<JobEntry> parse_entry(const std::string& text);

/// The entries of one job as far as the chain holds.
struct ChainRead {
  std::vector<JobEntry> entries;  // first to last
  std::optional<Error> fault;     // nullopt = to the end; `where` names the first that doesn't hold
};
/// @param head hash that the last one must have
ChainRead read_chain(const std::string& job, const std::vector<SealedEntry>& entries,
                     const std::string& head);

/// The entries of one job, first to last, once every hash holds.
/// @param head hash that the last one must have
/// Error: record_damaged, `where` names the first entry that is not as it was written.
Result<std::vector<JobEntry>> unsealed(const std::string& job,
                                       const std::vector<SealedEntry>& entries,
                                       const std::string& head);

/// Files that an entry names, each once.
std::vector<KeptFile> files_of(const Fact& fact);

}  // namespace plumbstack
