#include "faults.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace scene {
namespace {

using Json = nlohmann::ordered_json;

int index(Dice& dice, const SidePlan& plan) {
  return dice.whole(0, plan.modules - 1);
}

void swap_two(Dice& dice, SidePlan& plan, std::vector<std::string>& texts, bool even_distance) {
  for (int tries = 0; tries < 200; ++tries) {
    const int a = index(dice, plan), b = index(dice, plan);
    if (a == b || ((a - b) % 2 == 0) != even_distance) continue;
    std::swap(texts[static_cast<std::size_t>(a)], texts[static_cast<std::size_t>(b)]);
    if (!even_distance)  // put in without a turn: both now stand the wrong way round
      plan.stack[static_cast<std::size_t>(a)].turned =
          plan.stack[static_cast<std::size_t>(b)].turned = true;
    return;
  }
}

void move_one(Dice& dice, SidePlan& plan, std::vector<std::string>& texts) {
  const int from = index(dice, plan), to = index(dice, plan);
  const std::string text = texts[static_cast<std::size_t>(from)];
  texts.erase(texts.begin() + from);
  texts.insert(texts.begin() + to, text);
}

void turn_some(Dice& dice, SidePlan& plan, bool Module::*what, bool Module::*too) {
  for (int left = dice.whole(1, 3); left > 0; --left) {
    Module& m = plan.stack[static_cast<std::size_t>(index(dice, plan))];
    m.*what = m.*too = true;
  }
}

Json finding(const char* code, const std::vector<int>& slots) {
  return {{"code", code}, {"slots", slots}};
}

void number_findings(const SidePlan& plan, const std::vector<std::string>& texts, Json& found) {
  std::map<std::string, std::vector<int>> owners;
  std::vector<int> order, foreign, missing, turned;
  for (int k = 0; k < plan.modules; ++k) {
    const std::string& text = texts[static_cast<std::size_t>(k)];
    if (text.empty()) {
      missing.push_back(k + 1);
      continue;
    }
    owners[text].push_back(k + 1);
    const int number = std::stoi(text);
    const bool foreign_number = number < plan.first || number >= plan.first + plan.modules;
    if (foreign_number)
      foreign.push_back(k + 1);
    else if (number != plan.first + k)
      order.push_back(k + 1);
    const Module& m = plan.stack[static_cast<std::size_t>(k)];
    if (m.turned != m.miswritten) turned.push_back(k + 1);
  }
  for (const auto& [text, slots] : owners)
    if (slots.size() > 1) found.push_back(finding("number.duplicate", slots));
  if (!order.empty()) found.push_back(finding("number.order", order));
  for (int slot : foreign) found.push_back(finding("number.foreign", {slot}));
  for (int slot : missing) found.push_back(finding("number.missing", {slot}));
  std::vector<int> off_middle;
  for (int slot : turned)
    for (const Writing& w : plan.stack[static_cast<std::size_t>(slot - 1)].writings)
      if (w.sequence && plan.number_end != "any" &&
          std::abs(w.x - plan.strip / 2) > 0.12 * plan.strip)
        off_middle.push_back(slot);
  if (!off_middle.empty()) found.push_back(finding("number.end", off_middle));
  if (!turned.empty()) found.push_back(finding("number.rotation", turned));
}

}  // namespace

const std::vector<std::string>& fault_names() {
  static const std::vector<std::string> names{
      "none",           "number.order",   "number.order_odd", "number.moved",    "number.duplicate",
      "number.foreign", "number.missing", "number.end",       "number.rotation", "turned",
      "vent.repeat",    "sign.repeat",    "stagger.over",     "seat.gap",        "count.short",
      "count.long",     "stack.reversed"};
  return names;
}

std::vector<std::string> plain_texts(const SidePlan& plan) {
  std::vector<std::string> texts;
  for (int k = 0; k < plan.modules; ++k) texts.push_back(std::to_string(plan.first + k));
  return texts;
}

void disorder(Dice& dice, const std::string& fault, SidePlan& plan,
              std::vector<std::string>& texts) {
  const auto any = [&]() -> std::string& {
    return texts[static_cast<std::size_t>(index(dice, plan))];
  };
  if (fault == "number.order") swap_two(dice, plan, texts, true);
  if (fault == "number.order_odd") swap_two(dice, plan, texts, false);
  if (fault == "number.moved") move_one(dice, plan, texts);
  if (fault == "number.duplicate") {
    const int k = dice.whole(1, plan.modules - 1);
    texts[static_cast<std::size_t>(k)] = texts[static_cast<std::size_t>(dice.whole(0, k - 1))];
  }
  if (fault == "number.foreign")
    any() = std::to_string(plan.first + plan.modules + dice.whole(0, 40));
  if (fault == "number.missing") any().clear();
  if (fault == "turned") turn_some(dice, plan, &Module::turned, &Module::turned);
  if (fault == "number.end" || fault == "number.rotation")
    turn_some(dice, plan, &Module::miswritten, &Module::miswritten);
  // It was numbered as it stood, the wrong way round: only vent and sign tell.
  if (fault == "vent.repeat" || fault == "sign.repeat")
    turn_some(dice, plan, &Module::turned, &Module::miswritten);
  if (fault == "count.short") ++plan.declared_modules;
  if (fault == "count.long") --plan.declared_modules;
}

void displace(Dice& dice, const std::string& fault, double stagger_mm, SidePlan& plan) {
  if (fault == "stagger.over") {
    const double size = stagger_mm > 0 ? stagger_mm : dice.uniform(1.3, 6);
    plan.stack[static_cast<std::size_t>(index(dice, plan))].stagger = dice.pick({-1, 1}) * size;
  }
  if (fault == "seat.gap")
    plan.stack[static_cast<std::size_t>(dice.whole(0, plan.modules - 2))].gap_after =
        plan.gap_limit + dice.uniform(0.8, 5);
}

Json findings_of(const SidePlan& plan, const std::vector<std::string>& texts) {
  Json found = Json::array();
  if (plan.declared_modules != plan.modules)
    return {finding(plan.declared_modules > plan.modules ? "count.short" : "count.long", {})};
  if (plan.has_number) number_findings(plan, texts, found);
  std::vector<int> turned;
  for (int k = 0; k < plan.modules; ++k)
    if (plan.stack[static_cast<std::size_t>(k)].turned) turned.push_back(k + 1);
  if (plan.has_vent && !turned.empty()) found.push_back(finding("vent.repeat", turned));
  if (plan.has_sign && !turned.empty()) found.push_back(finding("sign.repeat", turned));
  for (int k = 0; k < plan.modules; ++k) {
    const Module& m = plan.stack[static_cast<std::size_t>(k)];
    if (std::abs(m.stagger) > plan.stagger_limit) found.push_back(finding("stagger.over", {k + 1}));
    if (k + 1 < plan.modules && m.gap_after > plan.gap_limit)
      found.push_back(finding("seat.gap", {k + 1, k + 2}));
  }
  if (plan.slot_1_up && plan.slot_1_at != "top") found.push_back(finding("stack.reversed", {}));
  return found;
}

}  // namespace scene
