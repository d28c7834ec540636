#include <algorithm>
#include <filesystem>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "plumbstack/job_documents.hpp"
#include "plumbstack/job_state.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::json;

tl::unexpected<Error> invalid(const std::string& why, const std::string& origin) {
  return fail(ErrorCode::document_invalid, why, origin);
}

// The document, once it is of this kind. Error: document_invalid, store_unusable.
Result<Json> parsed(const std::string& text, const std::string& kind, const std::string& origin) {
  Json json = Json::parse(text, nullptr, false);
  const std::string stem = "plumbstack/" + kind + "/";
  if (!json.is_object() || !json.contains("schema") || !json["schema"].is_string() ||
      json["schema"].get<std::string>().rfind(stem, 0) != 0)
    return invalid("is no " + kind + " of plumbstack", origin);
  if (json["schema"] != stem + "1")
    return fail(ErrorCode::store_unusable,
                "was written by a newer plumbstack (" + json["schema"].get<std::string>() +
                    "); use that one",
                origin);
  return json;
}

bool is_hash(const std::string& text) {
  return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

ResultPhoto photo_of(const Json& json) {
  return {json.at("side"),
          {json.at("file"), json.at("sha256")},
          json.at("verdict"),
          json.value("taken_at", "")};
}

ResultFinding finding_of(const Json& json) {
  return {json.at("code"), json.at("severity"), json.value("side", ""), json.at("slots"),
          json.at("message")};
}

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

Quad quad_of(const Json& json) {
  Quad quad;
  for (std::size_t i = 0; i < quad.size(); ++i) quad[i] = {json.at(i).at(0), json.at(i).at(1)};
  return quad;
}

const Json* slot_json(const Json& result, const std::string& side, int slot) {
  for (const Json& photo : result.at("photos"))
    if (photo.at("side") == side)
      for (const Json& one : photo.at("slots"))
        if (one.at("slot") == slot && one.value("seen", false)) return &one;
  return nullptr;
}

}  // namespace

Result<PlanDocument> read_plan_document(const std::string& json_text, const std::string& origin) {
  const auto json = parsed(json_text, "plan", origin);
  if (!json) return tl::unexpected(json.error());
  PlanDocument plan;
  try {
    plan.pack_id = json->at("pack");
    for (const Json& slot : json->at("slots"))
      plan.modules.push_back({slot.at("slot"), slot.at("number"), slot.at("serial")});
  } catch (const Json::exception&) {
    return invalid("is a plan that lacks slots, numbers or serials", origin);
  }
  std::set<std::string> serials;
  for (std::size_t i = 0; i < plan.modules.size(); ++i) {
    const PlannedSlot& one = plan.modules[i];
    const bool plain = std::all_of(one.serial.begin(), one.serial.end(),
                                   [](unsigned char c) { return c >= ' ' && c != 127; });
    if (!plain) return invalid("has a serial with a control character", origin);
    if (one.slot != static_cast<int>(i) + 1 || one.serial.empty() ||
        !serials.insert(one.serial).second)
      return invalid("has slots out of order, or one serial twice", origin);
  }
  return plan;
}

Result<ResultDocument> read_result_document(const std::string& json_text,
                                            const std::string& origin) {
  const auto json = parsed(json_text, "result", origin);
  if (!json) return tl::unexpected(json.error());
  ResultDocument document;
  ResultAttached& result = document.fact;
  try {
    document.pack_id = json->at("pack");
    result.verdict = json->at("verdict");
    for (const Json& photo : json->at("photos")) result.photos.push_back(photo_of(photo));
    for (const Json& finding : json->at("findings")) result.findings.push_back(finding_of(finding));
    if (json->contains("missing_sides"))
      result.missing_sides = json->at("missing_sides").get<std::vector<std::string>>();
  } catch (const Json::exception&) {
    return invalid("is a result that lacks its verdict, photos or findings", origin);
  }
  const bool hashed = std::all_of(result.photos.begin(), result.photos.end(),
                                  [](const ResultPhoto& one) { return is_hash(one.file.sha256); });
  if (result.photos.empty() || !hashed) return invalid("is a result without photos", origin);
  if (!is_consistent(result))
    return invalid("says " + result.verdict + ", which its findings do not bear out", origin);
  return document;
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

Result<std::vector<UnsureReading>> unsure_readings(const std::string& result_json_text,
                                                   const Pack& pack) {
  const auto document = read_result_document(result_json_text, "result.json");
  if (!document) return tl::unexpected(document.error());
  std::vector<UnsureReading> readings;
  try {
    const Json json = Json::parse(result_json_text);
    for (const ResultFinding& finding : document->fact.findings) {
      const std::string mark = confirmable_mark(finding.code);
      const Side* side = pack.side(finding.side);
      if (mark.empty() || finding.severity != "retake" || !side) continue;
      for (const int slot : finding.slots) {
        const Json* seen = slot_json(json, finding.side, slot);
        const std::string planned = planned_mark(*side, mark, slot);
        if (!seen || planned.empty()) continue;
        const int turn = mark == "number" ? side->number->rotation_deg : 0;
        readings.push_back({finding.side, slot, mark, planned, question(*side, mark),
                            quad_of(seen->at("face")), turn});
      }
    }
  } catch (const Json::exception&) {
    return invalid("is a result that lacks the faces of its strips", "result.json");
  }
  return readings;
}

}  // namespace plumbstack
