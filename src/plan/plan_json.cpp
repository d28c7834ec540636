#include <cmath>

#include "plumbstack/plan_record.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

double tidy(double value) {
  return std::round(value * 1e6) / 1e6 + 0.0;  // no minus zero
}

Json slot_json(const PlannedSlot& planned, const TestSheet& sheet) {
  const TestedModule& module = sheet.modules[planned.module];
  Json json{{"slot", planned.slot},
            {"number", planned.number},
            {"serial", module.serial},
            {"capacity_ah", tidy(module.capacity_ah)},
            {"voltage_v", tidy(module.voltage_v)},
            {"resistance_mohm", tidy(module.resistance_mohm)}};
  for (std::size_t i = 0; i < module.others.size(); ++i)
    json["columns"][sheet.other_columns[i]] = module.others[i];
  return json;
}

Json block_json(const PlannedBlock& block) {
  return {{"block", block.block},
          {"slots", block.slots},
          {"capacity_sum_ah", tidy(block.capacity_sum_ah)},
          {"capacity_min_ah", tidy(block.capacity_min_ah)},
          {"resistance_sum_mohm", tidy(block.resistance_sum_mohm)}};
}

}  // namespace

nlohmann::ordered_json plan_json(const Pack& pack, const TestSheet& sheet, const Plan& plan) {
  Json json{{"schema", "plumbstack/plan/1"}, {"pack", pack.id}};
  json["slots"] = Json::array();
  for (const PlannedSlot& planned : plan.slots) json["slots"].push_back(slot_json(planned, sheet));
  json["blocks"] = Json::array();
  for (const PlannedBlock& block : plan.blocks) json["blocks"].push_back(block_json(block));
  json["spread_ah"] = tidy(plan.spread.capacity_ah);
  json["bound_ah"] = tidy(plan.bound_ah);
  json["spares"] = Json::array();
  for (const std::size_t i : plan.spares) json["spares"].push_back(sheet.modules[i].serial);
  json["refused"] = Json::array();
  for (const RefusedModule& refused : plan.refused)
    json["refused"].push_back(
        {{"serial", sheet.modules[refused.module].serial}, {"reason", refused.reason}});
  json["spread_before_ah"] = tidy(plan.before.capacity_ah);
  json["resistance_spread_mohm"] = tidy(plan.spread.resistance_mohm);
  json["resistance_spread_before_mohm"] = tidy(plan.before.resistance_mohm);
  json["resistance_proved"] = plan.resistance_proved;
  return json;
}

}  // namespace plumbstack
