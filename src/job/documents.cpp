#include <algorithm>
#include <filesystem>
#include <map>

#include "plumbstack/job_documents.hpp"
#include "plumbstack/job_state.hpp"

namespace plumbstack {
namespace {

// A result that was edited by hand: its verdict must be the one its findings call for.
bool is_consistent(const ResultAttached& result) {
  const auto any = [&](const std::string& severity) {
    return std::any_of(result.findings.begin(), result.findings.end(),
                       [&](const ResultFinding& one) { return one.severity == severity; });
  };
  const std::string called_for = any("fix")                                       ? "fix"
                                 : any("retake") || !result.missing_sides.empty() ? "retake"
                                                                                  : "pass";
  return result.verdict == called_for;
}

std::string planned_mark(const Side& side, const std::string& mark, int slot) {
  if (mark == "number") {
    const auto number = planned_number(side, slot);
    return number ? std::to_string(*number) : "";
  }
  if (mark == "vent") {
    const auto vent = planned_vent(side, slot);
    return vent ? name_of(*vent) : "";
  }
  const auto sign = planned_sign(side, slot);
  return sign ? name_of(*sign) : "";
}

std::string question(const Side& side, const std::string& mark) {
  if (mark == "number") return "which number?";
  if (mark == "vent") return "vent at the left or right end?";
  const auto end = side.sign ? side.sign->end : std::nullopt;
  return end ? std::string("+ or - at the ") + name_of(*end) + " end?" : "+ or -?";
}

// Where the strip is on its photo; nullopt where it is not seen.
std::optional<Quad> face_of(const CheckResult& result, const std::string& side, int slot) {
  for (const ReadPhoto& photo : result.photos)
    if (photo.side == side && slot >= 1 && slot <= static_cast<int>(photo.slots.size()))
      if (const ReadSlot& one = photo.slots[static_cast<std::size_t>(slot - 1)]; one.seen)
        return one.face;
  return std::nullopt;
}

}  // namespace

std::vector<PlannedSlot> planned_slots(const std::vector<PlannedModule>& planned) {
  std::vector<PlannedSlot> slots;
  slots.reserve(planned.size());
  for (const PlannedModule& one : planned)
    slots.push_back({static_cast<int>(slots.size()) + 1, one.number, one.serial});
  return slots;
}

Result<ResultAttached> attached_result(const CheckResult& read, const std::string& origin) {
  ResultAttached result;
  result.verdict = read.verdict;
  result.missing_sides = read.missing_sides;
  for (const ReadPhoto& photo : read.photos)
    result.photos.push_back(
        {photo.side, {photo.file, photo.sha256}, photo.verdict, photo.taken_at});
  for (const ReadFinding& one : read.findings)
    result.findings.push_back({one.code, one.severity, one.side, one.slots, one.message});
  if (result.photos.empty())
    return fail(ErrorCode::document_invalid, "is a result without photos", origin);
  if (!is_consistent(result))
    return fail(ErrorCode::document_invalid,
                "says " + result.verdict + ", which its findings do not bear out", origin);
  return result;
}

// As picture_names of record.hpp names them.
std::vector<std::string> annotated_names(const ResultAttached& result) {
  std::vector<std::string> names;
  std::map<std::string, int> photos_of_stem;
  for (const ResultPhoto& photo : result.photos) {
    const std::string stem = std::filesystem::path(photo.file.name).stem().string();
    const int nth = ++photos_of_stem[stem];
    names.push_back(stem + (nth == 1 ? "" : "-" + std::to_string(nth)) + ".annotated.jpg");
  }
  return names;
}

std::vector<UnsureReading> unsure_readings(const CheckResult& result, const Pack& pack) {
  std::vector<UnsureReading> readings;
  for (const ReadFinding& finding : result.findings) {
    const std::string mark = confirmable_mark(finding.code);
    const Side* side = pack.side(finding.side);
    if (mark.empty() || finding.severity != "retake" || !side) continue;
    for (const int slot : finding.slots) {
      const auto face = face_of(result, finding.side, slot);
      const std::string planned = planned_mark(*side, mark, slot);
      if (!face || planned.empty()) continue;
      const int turn = mark == "number" ? side->number->rotation_deg : 0;
      readings.push_back({finding.side, slot, mark, planned, question(*side, mark), *face, turn});
    }
  }
  return readings;
}

}  // namespace plumbstack
