// plan.json and result.json, read again by those who go on from them. Read strictly and in one
// place: a sign or a serial that is taken wrong makes a wrong voltage, or a wrong record.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/base/geometry.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/pack.hpp"

namespace plumbstack {

/// The whole file. Error: the given code, where it can't be read or is longer than `longest` bytes.
Result<std::string> read_file(const std::filesystem::path& file, std::size_t longest,
                              const std::string& what, ErrorCode code);

/// What a plan document (plumbstack/plan/1) says of a slot.
struct PlannedModule {
  int number = 0;
  std::string serial;               // no two alike, no control characters
  std::optional<double> voltage_v;  // open circuit, from the plan's own test sheet
};

/// One for each slot of the pack, slot 1 first. Errors: record_unreadable (no JSON), record_invalid
/// (of another pack, of a newer version, a slot is missing).
/// @param origin name used in errors (a file name)
Result<std::vector<PlannedModule>> parse_planned_modules(const std::string& json,
                                                         const std::string& origin,
                                                         const Pack& pack);
Result<std::vector<PlannedModule>> load_planned_modules(const std::filesystem::path& file,
                                                        const Pack& pack);

/// A mark as the check read it.
struct ReadMark {
  std::optional<std::string> says;  // "17"; "left" or "right"; "+" or "-"; nullopt = nothing
  double confidence = 0;            // 0..1
};
struct ReadSlot {
  bool seen = false;
  std::optional<Quad> face;                    // px, displayed photo
  std::optional<ReadMark> number, vent, sign;  // nullopt = not looked for on this side
};
struct ReadPhoto {
  std::string file, sha256;
  std::string side;             // one of the pack's
  std::string verdict;          // of this side alone
  std::string taken_at;         // EXIF, local time; empty where the photo does not tell
  bool slots_named = false;     // all modules are seen and it is known where slot 1 is
  std::vector<ReadSlot> slots;  // one for each of the pack
};
struct ReadFinding {
  std::string code, severity, side;  // side is empty where it concerns the whole stack
  std::vector<int> slots;
  std::string message;
};

/// A result document (plumbstack/result/1).
struct CheckResult {
  std::string verdict;                                // "pass", "fix" or "retake"
  double number_bar = 1, vent_bar = 1, sign_bar = 1;  // confidence from which a mark is trusted
  std::vector<ReadPhoto> photos;
  std::vector<ReadFinding> findings;
  std::vector<std::string> missing_sides;
};
/// Errors as of parse_planned_modules.
Result<CheckResult> parse_check_result(const std::string& json, const std::string& origin,
                                       const Pack& pack);
Result<CheckResult> load_check_result(const std::filesystem::path& file, const Pack& pack);

}  // namespace plumbstack
