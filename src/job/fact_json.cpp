#include "fact_json.hpp"

namespace nlohmann {

template <typename T>
struct adl_serializer<std::optional<T>> {
  static void to_json(json& j, const std::optional<T>& value) {
    j = value ? json(*value) : json(nullptr);
  }
  static void from_json(const json& j, std::optional<T>& value) {
    value = j.is_null() ? std::nullopt : std::optional<T>(j.get<T>());
  }
};

}  // namespace nlohmann

namespace plumbstack {

NLOHMANN_JSON_SERIALIZE_ENUM(Stage, {{Stage::before, "before"},
                                     {Stage::stacked, "stacked"},
                                     {Stage::bussed, "bussed"}})
NLOHMANN_JSON_SERIALIZE_ENUM(Answer, {{Answer::done, "done"},
                                      {Answer::note, "note"},
                                      {Answer::figures, "figures"},
                                      {Answer::photo, "photo"},
                                      {Answer::serials, "serials"},
                                      {Answer::pass, "pass"}})
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(CheckLine, id, text, stage, answer, unit, count, least, most,
                                   spread, voids_pass)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(KeptFile, name, sha256)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Opened, pack, pack_id, modules, first_number, customer,
                                   local_time, required_sides, check_list)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlannedSlot, slot, number, serial)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PlanAttached, file, modules)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ResultPhoto, side, file, verdict, taken_at)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ResultFinding, code, severity, side, slots, message)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ResultAttached, file, verdict, photos, findings, missing_sides,
                                   pictures, rechecks)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PhotoAttached, file, shows, taken_at)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SlotSerial, slot, serial)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SerialsCompared, modules)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(LineTicked, line, good, figures, note)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ModulesLifted, slots, reason, because)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ReadingConfirmed, result, side, slot, mark, reads, planned, crop)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Signed, note)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Closed, abandoned)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(FiguresCorrected, corrects, line, was, figures, reason)

namespace {

// In the order of Fact's alternatives.
constexpr const char* kKinds[] = {"opened", "plan",      "result", "photo",  "serials",  "ticked",
                                  "lifted", "confirmed", "signed", "closed", "corrected"};
static_assert(std::size(kKinds) == std::variant_size_v<Fact>);

template <std::size_t I = 0>
std::optional<Fact> fact_from(const std::string& kind, const nlohmann::json& json) {
  if constexpr (I < std::variant_size_v<Fact>) {
    if (kind == kKinds[I]) return Fact(json.get<std::variant_alternative_t<I, Fact>>());
    return fact_from<I + 1>(kind, json);
  } else {
    return std::nullopt;
  }
}

}  // namespace

const char* kind_of(const Fact& fact) {
  return kKinds[fact.index()];
}

nlohmann::json json_of(const Fact& fact) {
  return std::visit([](const auto& one) { return nlohmann::json(one); }, fact);
}

std::optional<Fact> fact_of(const std::string& kind, const nlohmann::json& json) {
  return fact_from(kind, json);
}

}  // namespace plumbstack
