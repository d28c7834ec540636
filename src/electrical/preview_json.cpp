#include <cmath>

#include "parts.hpp"
#include "plumbstack/electrical_record.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

double tidy(double value, double scale = 1e4) {
  return std::round(value * scale) / scale + 0.0;  // no minus zero
}

Json volts(const std::optional<double>& v) {
  return v ? Json(tidy(*v)) : Json(nullptr);
}

Json span_json(VoltSpan span) {
  return {{"low_v", tidy(span.low)}, {"high_v", tidy(span.high)}};
}

Json sign_json(const std::optional<Sign>& sign) {
  return sign ? Json(name_of(*sign)) : Json(nullptr);
}

Json slot_json(const ElectricalInput& input, const TerminalEnds& ends, int slot) {
  const std::size_t i = static_cast<std::size_t>(slot - 1);
  const ModuleVolts& module = input.modules[i];
  const StackedModule& seen = input.stacked[i];
  Json json{{"slot", slot}};
  if (module.number) json["number"] = *module.number;
  if (!module.serial.empty()) json["serial"] = module.serial;
  json["voltage_v"] = tidy(module.v);
  json["measured"] = module.measured;
  json["may_be"] = span_json(module.span);
  json["way_round"] = name_of(seen.way_round);
  if (!seen.why.empty()) json["why"] = seen.why;
  if (seen.home && *seen.home != slot) json["planned_for"] = *seen.home;
  json["left"] = sign_json(sign_at(input, ends, slot, End::left));
  json["right"] = sign_json(sign_at(input, ends, slot, End::right));
  return json;
}

Json bar_json(const BarPreview& bar) {
  return {{"bar", bar.bar},
          {"slots", {bar.bar, bar.bar + 1}},
          {"end", name_of(bar.end)},
          {"signs", {sign_json(bar.upper), sign_json(bar.lower)}},
          {"joins", name_of(bar.join)}};
}

Json block_json(const BlockPreview& block) {
  static constexpr const char* kStates[] = {"not measured", "within", "outside", "open"};
  Json json{{"block", block.block},
            {"slots", block.slots},
            {"intended_v", tidy(block.intended_v)},
            {"as_stacked_v", volts(block.as_stacked_v)},
            {"as_stacked", span_json(block.as_stacked)},
            {"meter", span_json(block.meter)}};
  if (block.reading.v) json["reading_v"] = tidy(*block.reading.v);
  json["reading"] = kStates[static_cast<int>(block.state)];
  return json;
}

Json tap_json(const TapPreview& tap) {
  return {{"tap", tap.tap},
          {"intended_v", tidy(tap.intended_v)},
          {"as_stacked_v", volts(tap.as_stacked_v)},
          {"meter", span_json(tap.meter)}};
}

Json high_json(const HighVoltage& high) {
  Json json{{"over_v", kHighVoltageV},
            {"source", "UN ECE R100: over 60 V and up to 1500 V DC"},
            {"charged_module_v", tidy(high.charged_module_v)},
            {"charged_pack_v", tidy(high.charged_pack_v)},
            {"fewest_modules", high.fewest_modules ? Json(*high.fewest_modules) : Json(nullptr)}};
  if (high.slot) json["from_negative_end"] = {{"slot", *high.slot}, {"tap", *high.tap}};
  return json;
}

Json fault_json(const Fault& fault) {
  static constexpr const char* kKinds[] = {"turned", "shorted cells", "open", "swapped"};
  Json json{{"kind", kKinds[static_cast<int>(fault.kind)]}, {"block", fault.block}};
  if (fault.other_block != 0) json["other_block"] = fault.other_block;
  if (fault.cells != 0) json["cells"] = fault.cells;
  return json;
}

Json explanation_json(const Explanation& explanation) {
  Json json{{"words", words_of(explanation)}, {"faults", Json::array()}};
  for (const Fault& fault : explanation.faults) json["faults"].push_back(fault_json(fault));
  json["candidates"] = Json::array();
  for (const auto& candidate : explanation.candidates) {
    Json slots = Json::array();
    for (const Fault& fault : candidate) slots.push_back(fault.slots);
    json["candidates"].push_back(std::move(slots));
  }
  json["against_what_was_seen"] = explanation.against_signs;
  json["misfit"] = tidy(explanation.misfit);
  return json;
}

Json diagnosis_json(const Diagnosis& diagnosis) {
  Json json{{"state", name_of(diagnosis.state)}, {"explanations", Json::array()}};
  for (const Explanation& one : diagnosis.explanations)
    json["explanations"].push_back(explanation_json(one));
  json["unexplained_blocks"] = diagnosis.unexplained_blocks;
  json["cut_short"] = diagnosis.cut_short;
  return json;
}

Json pack_json(const ElectricalInput& input, const Preview& preview) {
  return {{"negative_end", input.negative_end == StackEnd::first ? "first" : "last"},
          {"intended_v", tidy(preview.intended_v)},
          {"as_stacked_v", volts(preview.as_stacked_v)},
          {"as_stacked", span_json(preview.as_stacked)},
          {"meter", span_json(preview.meter)}};
}

Json advice_json(const std::vector<Advice>& advice) {
  Json json = Json::array();
  for (const Advice& one : advice)
    json.push_back(
        {{"weight", name_of(one.weight)}, {"message", one.message}, {"action", one.action}});
  return json;
}

}  // namespace

nlohmann::ordered_json electrical_json(const Pack& pack, const ElectricalInput& input,
                                       const Preview& preview) {
  Json json{{"schema", "plumbstack/electrical/1"},
            {"program", {{"name", "plumbstack"}, {"version", PLUMBSTACK_VERSION}}},
            {"pack", pack.id},
            {"outcome", name_of(preview.outcome)},
            {"advice", advice_json(preview.advice)},
            {"signs_from", input.signs_seen ? "result" : "plan"},
            {"ends", {{"left", preview.ends.left}, {"right", preview.ends.right}}},
            {"row", pack_json(input, preview)}};
  json["slots"] = Json::array();
  for (int slot = 1; slot <= pack.modules; ++slot)
    json["slots"].push_back(slot_json(input, preview.ends, slot));
  json["bars"] = Json::array();
  for (const BarPreview& bar : preview.bars) json["bars"].push_back(bar_json(bar));
  json["blocks"] = Json::array();
  for (const BlockPreview& block : preview.blocks) json["blocks"].push_back(block_json(block));
  json["taps"] = Json::array();
  for (const TapPreview& tap : preview.taps) json["taps"].push_back(tap_json(tap));
  json["high_voltage"] = high_json(preview.high);
  json["diagnosis"] = diagnosis_json(preview.diagnosis);
  if (pack.bus_nut_torque_nm)
    json["bus_nut_torque"] = {{"nm", tidy(*pack.bus_nut_torque_nm)},
                              {"lbf_in", tidy(pound_force_inches(*pack.bus_nut_torque_nm), 1e2)}};
  json["assumptions"] = preview.assumptions;
  json["cautions"] = electrical_cautions(preview);
  return json;
}

}  // namespace plumbstack
