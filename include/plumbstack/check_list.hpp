// What has to be done, measured and photographed in a job before it may be closed.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/pack.hpp"

namespace plumbstack {

/// When a line is worked off. It decides what takes it back: a module lifted afterwards takes back
/// `stacked` and `bussed` lines, and a `bussed` line counts only after the stack has passed.
enum class Stage { before, stacked, bussed };

enum class Answer {
  done,     // done or not
  note,     // a remark is needed with it: what was seen
  figures,  // one figure or several, against limits
  photo,    // a photo attached under the line's id
  serials,  // from the serials compared, slot by slot
  pass,     // from the results of the check
};

struct CheckLine {
  std::string id;    // as typed on the command line: "service-plug"
  std::string text;  // what to do
  Stage stage = Stage::before;
  Answer answer = Answer::done;
  std::string unit;              // of the figures: "V"; empty where there are none
  int count = 1;                 // how many figures
  std::optional<double> least;   // each figure, inclusive; nullopt = no limit
  std::optional<double> most;    // likewise
  std::optional<double> spread;  // largest less smallest, inclusive; nullopt = no limit
  bool voids_pass = false;       // where it fails the stack itself is in doubt

  bool operator==(const CheckLine&) const = default;
};

/// The lines of good practice (common practice, no source), with the pack's own figures: torque of
/// its nuts, spread and range of voltage of its modules and blocks, length. The least insulation
/// resistance is 500 ohm for each volt of the charged pack (UN ECE R100, from memory).
std::vector<CheckLine> default_check_list(const Pack& pack);

/// A shop's own list (plumbstack/check-list/1), read strictly. It must keep the line `pass`: no job
/// closes without one. Errors: document_invalid.
Result<std::vector<CheckLine>> parse_check_list(const std::string& json_text,
                                                const std::string& origin);
Result<std::vector<CheckLine>> load_check_list(const std::filesystem::path& file);

}  // namespace plumbstack
