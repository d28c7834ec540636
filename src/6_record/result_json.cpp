#include <cmath>
#include <filesystem>

#include "plumbstack/record.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

// A value that is not a number has no place in JSON; 0 is the untrusted end of every scale here.
double tidy(double value, int decimals) {
  if (!std::isfinite(value)) return 0;
  const double scale = std::pow(10.0, decimals);
  const double out = std::round(value * scale) / scale;
  return out == 0 ? 0.0 : out;  // no minus zero
}

Json quad_json(const Quad& quad) {
  Json json = Json::array();
  for (const cv::Point2d& p : quad) json.push_back({tidy(p.x, 2), tidy(p.y, 2)});
  return json;
}

Json number_json(const NumberMark& mark) {
  Json json;
  json["text"] = mark.text ? Json(*mark.text) : Json(nullptr);
  json["confidence"] = tidy(mark.confidence, 4);
  if (!mark.text) return json;
  json["quad"] = quad_json(mark.quad_in_photo);
  json["rotation_deg"] = mark.rotation_deg;
  json["end"] = mark.end ? Json(name_of(*mark.end)) : Json(nullptr);
  return json;
}

Json slot_json(const Side& side, const SlotMarks& marks, int slot, bool last) {
  Json json{{"slot", slot}, {"seen", marks.seen}};
  if (!marks.seen) return json;
  json["face"] = quad_json(marks.face_in_photo);
  if (side.number) json["number"] = number_json(marks.number);
  if (side.vent)
    json["vent"] = {{"end", marks.vent.end ? Json(name_of(*marks.vent.end)) : Json(nullptr)},
                    {"confidence", tidy(marks.vent.confidence, 4)}};
  if (side.sign) {
    json["sign"] = {{"sign", marks.sign.sign ? Json(name_of(*marks.sign.sign)) : Json(nullptr)},
                    {"confidence", tidy(marks.sign.confidence, 4)}};
    if (marks.sign.from_opposite) json["sign"]["from"] = "opposite";
  }
  if (marks.stagger_mm) {
    json["stagger_mm"] = tidy(*marks.stagger_mm, 3);
    json["stagger_sd_mm"] = tidy(marks.stagger_sd_mm, 3);
  }
  if (!last && marks.gap_mm) json["gap_mm"] = tidy(*marks.gap_mm, 3);
  return json;
}

Json stack_json(const CheckedPhoto& photo) {
  const SideEvidence& e = photo.evidence;
  Quad quad = photo.frame->outline_in_photo();
  const bool turned =
      e.slot_1_at && *e.slot_1_at == opposite(photo.frame->lying ? Edge::left : Edge::top);
  if (turned) quad = half_turned(quad);
  return {{"quad", quad_json(quad)},
          {"slot_1_at", e.slot_1_at ? Json(name_of(*e.slot_1_at)) : Json(nullptr)},
          {"modules", e.modules_counted},
          {"mm_per_px", tidy(e.marks.capture.mm_per_px, 4)}};
}

// Always one entry for each of the pack's slots: what was not seen says so.
Json slots_json(const Pack& pack, const CheckedPhoto& photo) {
  const Side* side = pack.side(photo.side);
  const std::vector<SlotMarks>& slots = photo.evidence.marks.slots;
  const bool have = side && slots.size() == static_cast<std::size_t>(pack.modules);
  Json json = Json::array();
  for (int slot = 1; slot <= pack.modules; ++slot) {
    const std::size_t i = static_cast<std::size_t>(slot - 1);
    json.push_back(have ? slot_json(*side, slots[i], slot, slot == pack.modules)
                        : Json{{"slot", slot}, {"seen", false}});
  }
  return json;
}

Json photo_json(const Pack& pack, const CheckedPhoto& photo, Verdict verdict) {
  Json json;
  json["file"] = std::filesystem::path(photo.photo.file).filename().string();
  json["sha256"] = photo.photo.sha256;
  json["side"] = photo.side;
  json["width"] = size_of(photo.photo).width;
  json["height"] = size_of(photo.photo).height;
  json["exif_orientation"] = photo.photo.exif_orientation;
  if (photo.photo.taken_at) json["taken_at"] = *photo.photo.taken_at;
  json["verdict"] = name_of(verdict);
  if (photo.frame) json["stack"] = stack_json(photo);
  json["slots"] = slots_json(pack, photo);
  const CaptureFigures& c = photo.evidence.marks.capture;
  json["capture"] = {{"sharpness", tidy(c.sharpness, 3)},
                     {"glare", tidy(c.glare, 3)},
                     {"exposure", tidy(c.exposure, 3)}};
  return json;
}

Json findings_json(const std::vector<Finding>& findings) {
  Json json = Json::array();
  for (const Finding& f : findings) {
    Json one{{"code", f.code}, {"severity", name_of(f.severity)}};
    if (!f.side.empty()) one["side"] = f.side;
    one["slots"] = f.slots;
    one["message"] = f.message;
    one["action"] = f.action;
    json.push_back(std::move(one));
  }
  return json;
}

Json repair_json(const std::vector<RepairStep>& steps) {
  Json json = Json::array();
  for (const RepairStep& s : steps)
    json.push_back(
        {{"from_slot", s.from_slot}, {"to_slot", s.to_slot}, {"turn", s.turn}, {"text", s.text}});
  return json;
}

// The total first, then the stages in the order of the path.
Json ms_json(const std::map<std::string, double>& ms) {
  Json json = Json::object();
  for (const char* stage : {"total", "decode", "stack", "marks", "judge"})
    if (const auto found = ms.find(stage); found != ms.end()) json[stage] = tidy(found->second, 1);
  for (const auto& [stage, duration] : ms) json[stage] = tidy(duration, 1);
  return json;
}

}  // namespace

nlohmann::ordered_json result_json(const Pack& pack, const Check& check) {
  Json json;
  json["schema"] = "plumbstack/result/1";
  json["program"] = {{"name", "plumbstack"}, {"version", PLUMBSTACK_VERSION}};
  json["pack"] = pack.id;
  json["verdict"] = name_of(check.judgement.verdict);
  json["trust_bar"] = {{"number", check.trust_bar.number},
                       {"vent", check.trust_bar.vent},
                       {"sign", check.trust_bar.sign}};
  json["photos"] = Json::array();
  for (std::size_t i = 0; i < check.photos.size(); ++i)
    json["photos"].push_back(photo_json(pack, check.photos[i], check.judgement.side_verdicts[i]));
  json["findings"] = findings_json(check.judgement.findings);
  json["repair"] = repair_json(check.judgement.repair);
  json["missing_sides"] = check.judgement.missing_sides;
  json["ms"] = ms_json(check.ms);
  return json;
}

}  // namespace plumbstack
