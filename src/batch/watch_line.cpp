#include "watch_line.hpp"

#include <algorithm>

#include "outputs.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

// What is to be done, worst first; notes are left to the report.
std::vector<std::string> messages(const Json& result) {
  std::vector<std::string> texts;
  const Json findings = result.value("findings", Json::array());
  for (const char* severity : {"fix", "retake"})
    for (const Json& finding : findings)
      if (finding.value("severity", "") == severity) {
        const std::string side = finding.value("side", "");
        texts.push_back((side.empty() ? "" : side + ": ") + finding.value("message", ""));
      }
  return texts;
}

std::string missing_sides(const Json& result) {
  std::string names;
  for (const Json& side : result.value("missing_sides", Json::array()))
    names += (names.empty() ? "" : ", ") + side.get<std::string>();
  return names;
}

}  // namespace

std::string watch_line(const BatchEntry& entry) {
  const BatchVerdict verdict = facts_of(entry).verdict;
  std::string line = entry.stack + ": " + name_of(verdict);
  if (verdict == BatchVerdict::unread) return line + ": " + entry.failure;
  const std::vector<std::string> texts = messages(entry.result);
  if (!texts.empty()) line += ": " + texts.front();
  if (texts.size() > 1) line += " (and " + std::to_string(texts.size() - 1) + " more)";
  const std::string missing = missing_sides(entry.result);
  if (!missing.empty()) line += (texts.empty() ? ": " : "; ") + ("no photo of " + missing);
  return line;
}

}  // namespace plumbstack
