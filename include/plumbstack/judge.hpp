// Pack, Marks -> Judgement: what is wrong, where, and what to do. Knows nothing of pixels.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/marks.hpp"
#include "plumbstack/pack.hpp"

namespace plumbstack {

enum class Verdict { pass, fix, retake };
enum class Severity { note, retake, fix };

const char* name_of(Verdict verdict);
const char* name_of(Severity severity);

struct Finding {
  std::string code;  // of the list in finding_codes.hpp, e.g. "number.order"
  Severity severity = Severity::note;
  std::string side;        // empty where it concerns the whole stack
  std::vector<int> slots;  // 1-based, ascending; empty where none applies
  std::string message;     // what was seen
  std::string action;      // what to do
};

/// Where a side's evidence comes from.
struct Shot {
  std::string sha256;                   // of the photo file; empty = not known
  std::optional<std::string> taken_at;  // by the camera's clock, "YYYY:MM:DD HH:MM:SS"
};

/// Everything the judge may know of one photographed side.
struct SideEvidence {
  std::string side;
  Shot shot;
  bool stack_found = false;
  int modules_counted = 0;        // strips seen between the end plates
  bool count_sure = true;         // every border between the end plates was seen, and both
                                  // outer strips clearly end in modules
  std::optional<Edge> slot_1_at;  // nullopt = could not be told
  SideMarks marks;                // slot 1 first; exactly pack.modules slots, unseen ones padded
                                  // (empty where no stack was found or the count does not fit)
  /// Capture findings of the earlier stages (photo.blurred, photo.glare, ...), as they are.
  std::vector<Finding> capture_findings;
};

/// One thing to do with one's hands.
struct RepairStep {
  int from_slot = 0;  // the module now in this slot
  int to_slot = 0;    // goes here; equal to from_slot where it only turns
  bool turn = false;  // end for end, on the way; false too where the text says it is unknown
  std::string text;   // as told to the technician
};

struct Judgement {
  Verdict verdict = Verdict::retake;   // of the stack
  std::vector<Verdict> side_verdicts;  // one per evidence, in its order, from that side alone
  std::vector<Finding> findings;
  std::vector<RepairStep> repair;          // fewest modules lifted; not those to be renumbered
  std::vector<std::string> missing_sides;  // required, but no photo was given
};

/// Judges all photographed sides of one stack.
Judgement judge(const Pack& pack, const std::vector<SideEvidence>& sides, const TrustBar& bar = {});

/// Slots (ascending) as words: "slot 7", "slots 3 to 5, 7 and 9".
std::string slots_text(const std::vector<int>& slots);

/// Positions (0-based, ascending) of one longest strictly increasing subsequence.
std::vector<std::size_t> longest_increasing_subsequence(const std::vector<int>& values);

}  // namespace plumbstack
