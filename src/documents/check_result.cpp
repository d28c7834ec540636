#include <algorithm>

#include "record_file.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kLongestResult = 16 << 20;  // bytes; 200 slots on 12 sides have some 1 MiB

using Fault = std::optional<std::string>;

const std::vector<std::string> kVerdicts{"pass", "fix", "retake"};

// Calls `read` with every object of the list under this key.
template <typename Read>
void each(JsonReader& in, const std::string& key, Fault& fault, const Read& read) {
  const Json list = in.json().value(key, Json());
  if (!list.is_array() && !fault) fault = in.path_of(key) + " must be a list";
  if (fault) return;
  for (std::size_t i = 0; i < list.size() && !fault; ++i)
    read(JsonReader(list[i], in.path_of(key) + "." + std::to_string(i), fault));
}

ReadMark read_mark(JsonReader in, const std::string& key) {
  ReadMark mark;
  mark.confidence = in.number("confidence", 0, 1);
  if (in.json().value(key, Json()).is_null()) return mark;
  mark.says = key == "sign"  ? in.word(key, {"+", "-"})
              : key == "end" ? in.word(key, {"left", "right"})
                             : in.text(key);
  return mark;
}

std::optional<Quad> read_face(JsonReader& in) {
  if (!in.has("face")) return std::nullopt;
  Quad quad;
  try {
    const Json& face = in.json()["face"];
    for (std::size_t i = 0; i < quad.size(); ++i)
      quad[i] = {face.at(i).at(0).get<double>(), face.at(i).at(1).get<double>()};
  } catch (const Json::exception&) {
    in.refuse(in.path_of("face"), "four corners");
  }
  return quad;
}

ReadSlot read_slot(JsonReader in) {
  ReadSlot slot;
  slot.seen = in.truth("seen", false);
  slot.face = read_face(in);
  if (in.has("number")) slot.number = read_mark(in.object("number"), "text");
  if (in.has("vent")) slot.vent = read_mark(in.object("vent"), "end");
  if (in.has("sign")) slot.sign = read_mark(in.object("sign"), "sign");
  return slot;
}

bool are_slots_named(JsonReader& in, const Pack& pack) {
  if (!in.has("stack")) return false;
  JsonReader stack = in.object("stack");
  if (stack.json().value("slot_1_at", Json()).is_null()) return false;
  return stack.whole("modules", 0, 100000) == pack.modules;
}

std::string read_hash(JsonReader& in) {
  std::string hash = in.text("sha256");
  if (hash.size() != 64 || hash.find_first_not_of("0123456789abcdef") != std::string::npos)
    in.refuse(in.path_of("sha256"), "64 lower-case hex digits");
  return hash;
}

ReadPhoto read_photo(JsonReader in, const Pack& pack, Fault& fault) {
  ReadPhoto photo;
  photo.side = in.text("side");
  if (!fault && !pack.side(photo.side))
    in.refuse(in.path_of("side"), "a side of " + pack.id + " (" + photo.side + " is none)");
  photo.file = in.text("file");
  photo.sha256 = read_hash(in);
  photo.verdict = in.word("verdict", kVerdicts);
  if (in.has("taken_at")) photo.taken_at = in.text("taken_at");
  photo.slots_named = are_slots_named(in, pack);
  const Json slots = in.json().value("slots", Json());
  check_slots(slots, in.path_of("slots"), pack, fault);
  for (std::size_t i = 0; i < slots.size() && !fault; ++i)
    photo.slots.push_back(
        read_slot(JsonReader(slots[i], in.path_of("slots") + "." + std::to_string(i), fault)));
  return photo;
}

ReadFinding read_finding(JsonReader in) {
  ReadFinding finding;
  finding.code = in.text("code");
  finding.severity = in.word("severity", {"fix", "retake", "note"});
  finding.side = in.has("side") ? in.text("side") : "";
  finding.message = in.text("message");
  const Json slots = in.json().value("slots", Json::array());
  for (const Json& slot : slots) {
    if (slot.is_number_integer())
      finding.slots.push_back(slot.get<int>());
    else
      in.refuse(in.path_of("slots"), "a list of slots");
  }
  return finding;
}

CheckResult read_result(JsonReader in, const Pack& pack, Fault& fault) {
  CheckResult result;
  result.verdict = in.word("verdict", kVerdicts);
  JsonReader bar = in.object("trust_bar");
  result.number_bar = bar.number("number", 0, 1);
  result.vent_bar = bar.number("vent", 0, 1);
  result.sign_bar = bar.number("sign", 0, 1);
  each(in, "findings", fault,
       [&](JsonReader one) { result.findings.push_back(read_finding(std::move(one))); });
  each(in, "photos", fault,
       [&](JsonReader one) { result.photos.push_back(read_photo(std::move(one), pack, fault)); });
  if (in.has("missing_sides")) result.missing_sides = in.texts("missing_sides");
  return result;
}

}  // namespace

Result<CheckResult> parse_check_result(const std::string& json, const std::string& origin,
                                       const Pack& pack) {
  const auto document = parse_record(json, origin, "result", pack);
  if (!document) return tl::unexpected(document.error());
  Fault fault;
  CheckResult result = read_result(JsonReader(*document, "", fault), pack, fault);
  if (fault) return fail(ErrorCode::record_invalid, *fault, origin);
  return result;
}

Result<CheckResult> load_check_result(const std::filesystem::path& file, const Pack& pack) {
  const auto text = read_file(file, kLongestResult, "result", ErrorCode::record_unreadable);
  if (!text) return tl::unexpected(text.error());
  return parse_check_result(*text, file.string(), pack);
}

}  // namespace plumbstack
