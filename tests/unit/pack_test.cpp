#include "plumbstack/pack.hpp"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "files.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::StartsWith;

// A definition that uses every key there is.
Json full() {
  return Json::parse(R"({
    "schema": "plumbstack/pack/1", "id": "long-34", "name": "34 long modules, one stack", "modules": 34,
    "module_mm": {"length": 285.0, "height": 118.0, "thickness": 19.6, "pitch": 20.1},
    "sides": {
      "vent": {"strip_mm": 285.0, "vent": {"slot_1_end": "left"},
               "sign": {"slot_1": "-", "end": "right", "colors": {"+": "red", "-": "blue"}}},
      "number": {"strip_mm": 285.0, "number": {"first": 1, "end": "any", "rotation_deg": 180}},
      "a-side": {"strip_mm": 118.0, "sign": {"slot_1": "+", "end": "any", "colors": {"+": "red"}}}},
    "stagger_limit_mm": 1.0, "seat_gap_limit_mm": 2.5, "slot_1_up": true,
    "required_sides": ["number", "vent"],
    "electrical": {"cells_per_module": 6, "nominal_v_per_cell": 1.2, "charged_v_per_cell": 1.45,
                   "modules_per_block": 2},
    "plan": {"capacity_min_ah": 5.0, "resistance_max_mohm": 25.0, "voltage_spread_mv": 50.0,
             "cool_end": "last"},
    "bus_nut_torque_nm": 6.2})");
}

TEST(Pack, EveryKeyArrives) {
  const auto pack = parse_pack(full().dump(), "pack.json");
  ASSERT_TRUE(pack) << pack.error().message;
  EXPECT_EQ(pack->id, "long-34");
  EXPECT_EQ(pack->modules, 34);
  EXPECT_EQ(pack->module_mm.pitch, 20.1);
  ASSERT_EQ(pack->sides.size(), 3u);  // in the order of the definition
  EXPECT_EQ(pack->sides[0].name, "vent");
  EXPECT_EQ(pack->sides[1].name, "number");
  EXPECT_EQ(pack->sides[0].vent->slot_1_end, End::left);
  EXPECT_EQ(pack->sides[0].sign->slot_1, Sign::minus);
  EXPECT_EQ(pack->sides[0].sign->end, End::right);
  EXPECT_EQ(pack->sides[0].sign->colors.at(Sign::minus), MarkColor::blue);
  EXPECT_EQ(pack->sides[2].sign->colors.size(), 1u);
  EXPECT_EQ(pack->side("number")->number->rotation_deg, 180);
  EXPECT_FALSE(pack->side("number")->number->end);
  EXPECT_EQ(pack->side("nothing"), nullptr);
  EXPECT_TRUE(pack->slot_1_up);
  EXPECT_THAT(pack->required_sides, ElementsAre("number", "vent"));
  EXPECT_EQ(pack->electrical->charged_v_per_cell, 1.45);
  EXPECT_EQ(pack->plan->cool_end, CoolEnd::last);
  EXPECT_EQ(pack->bus_nut_torque_nm, 6.2);
}

TEST(Pack, WhatMayBeAbsentHasItsDefault) {
  Json json = full();
  for (const char* key : {"stagger_limit_mm", "seat_gap_limit_mm", "slot_1_up", "required_sides",
                          "plan", "bus_nut_torque_nm"})
    json.erase(key);
  json["module_mm"].erase("pitch");
  json["sides"]["number"]["number"].erase("first");
  json["electrical"] = {{"nominal_v_per_cell", 3.6}};
  const auto pack = parse_pack(json.dump(), "pack.json");
  ASSERT_TRUE(pack) << pack.error().message;
  EXPECT_EQ(pack->module_mm.pitch, 19.6);
  EXPECT_FALSE(pack->stagger_limit_mm);
  EXPECT_FALSE(pack->seat_gap_limit_mm);
  EXPECT_FALSE(pack->slot_1_up);
  EXPECT_THAT(pack->required_sides, ElementsAre("vent", "number", "a-side"));
  EXPECT_EQ(pack->side("number")->number->first, 1);
  EXPECT_FALSE(pack->plan);
  EXPECT_NEAR(pack->electrical->charged_v_per_cell, 4.2, 1e-9);
}

struct Slip {
  const char* pointer;  // where
  const char* value;    // what is put there; nullptr = the key is taken out
  const char* says;     // how the message begins or, after '*', what it holds
};

const Slip kSlips[] = {
    {"/schema", "\"plumbstack/pack/2\"", "schema must be plumbstack/pack/1"},
    {"/schema", nullptr, "schema is missing; it must be plumbstack/pack/1"},
    {"/id", "\"\"", "id must be a text"},
    {"/name", "7", "name must be a text"},
    {"/modules", "1", "modules must be a whole number from 2 to 200"},
    {"/modules", "201", "modules must be a whole number from 2 to 200"},
    {"/modules", "34.0", "modules must be a whole number"},
    {"/modules", "18446744073709551615", "modules must be a whole number"},
    {"/modules", nullptr, "modules is missing"},
    {"/module_mm", "[]", "module_mm must be an object"},
    {"/module_mm/length", "-285", "module_mm.length must be a number from 20 to 2000"},
    {"/module_mm/height", "\"118\"", "module_mm.height must be a number"},
    {"/module_mm/thickness", "0", "module_mm.thickness must be a number from 4 to 200"},
    {"/module_mm/pitch", "19.5", "module_mm.pitch must be a number from 19.6"},
    {"/module_mm/width", "3", "module_mm.width is not a known key; here may stand: height, length"},
    {"/sides", "{}", "sides must be one to twelve sides"},
    {"/sides/vent/strip_mm", nullptr, "sides.vent.strip_mm is missing"},
    {"/sides/vent/strip_mm", "2001", "sides.vent.strip_mm must be a number from 20 to 2000"},
    {"/sides/vent/vents", "{}", "sides.vent.vents is not a known key"},
    {"/sides/vent/vent/slot_1_end", "\"any\"", "sides.vent.vent.slot_1_end must be left or right"},
    {"/sides/vent/vent/first", "1", "sides.vent.vent.first is not a known key"},
    {"/sides/vent/sign/slot_1", "\"plus\"", "sides.vent.sign.slot_1 must be + or -"},
    {"/sides/vent/sign/end", "\"top\"", "sides.vent.sign.end must be left, right or any"},
    {"/sides/vent/sign/colors/+", "\"pink\"",
     "sides.vent.sign.colors.+ must be red, blue, black, white, green or yellow"},
    {"/sides/vent/sign/colors/-", "\"red\"",
     "sides.vent.sign.colors must be two different colours"},
    {"/sides/vent/sign/colors/~0", "\"red\"", "sides.vent.sign.colors.~ is not a known key"},
    {"/sides/number/number/rotation_deg", "45",
     "sides.number.number.rotation_deg must be 0, 90, 180 or 270"},
    {"/sides/number/number/rotation_deg", "360", "sides.number.number.rotation_deg must be"},
    {"/sides/number/number/end", nullptr, "sides.number.number.end is missing"},
    {"/sides/number/number/first", "-1", "sides.number.number.first must be a whole number from 0"},
    {"/sides/number/number", nullptr, "sides.number.number must be given, or vent, or sign"},
    {"/sides/top=left", "{\"strip_mm\": 99, \"vent\": {\"slot_1_end\": \"left\"}}",
     "sides.top=left must be named by"},
    {"/stagger_limit_mm", "0", "stagger_limit_mm must be a number from 0.05"},
    {"/seat_gap_limit_mm", "null", "seat_gap_limit_mm must be a number from 0.1"},
    {"/slot_1_up", "1", "slot_1_up must be true or false"},
    {"/required_sides", "[\"numbers\"]", "required_sides must be names of this pack's sides"},
    {"/required_sides", "[\"vent\", \"vent\"]", "required_sides must be different sides"},
    {"/required_sides", "\"vent\"", "required_sides must be a list of texts"},
    {"/electrical/cells_per_module", "0", "electrical.cells_per_module must be a whole number"},
    {"/electrical/nominal_v_per_cell", "0", "electrical.nominal_v_per_cell must be a number"},
    {"/electrical/charged_v_per_cell", "1.1",
     "electrical.charged_v_per_cell must be a number from 1.2"},
    {"/electrical/modules_per_block", "0.5", "electrical.modules_per_block must be a whole number"},
    {"/electrical/volts", "1", "electrical.volts is not a known key"},
    {"/plan/capacity_min_ah", "-1", "plan.capacity_min_ah must be a number from 0"},
    {"/plan/resistance_max_mohm", "\"\"", "plan.resistance_max_mohm must be a number"},
    {"/plan/voltage_spread_mv", "[]", "plan.voltage_spread_mv must be a number"},
    {"/plan/cool_end", "\"left\"", "plan.cool_end must be first, last or both"},
    {"/plan/warm_end", "\"last\"", "plan.warm_end is not a known key"},
    {"/bus_nut_torque_nm", "0", "bus_nut_torque_nm must be a number from 0.1 to 200"},
    {"/colour", "\"grey\"", "colour is not a known key; here may stand: bus_nut_torque_nm"},
};

class PackSlip : public testing::TestWithParam<Slip> {};

TEST_P(PackSlip, IsRefusedWithItsPathAndWhatMayBe) {
  const Slip& slip = GetParam();
  Json json = full();
  const Json::json_pointer at(slip.pointer);
  if (slip.value)
    json[at] = Json::parse(slip.value);
  else
    json[at.parent_pointer()].erase(at.back());
  const auto pack = parse_pack(json.dump(), "pack.json");
  ASSERT_FALSE(pack);
  EXPECT_EQ(pack.error().code, ErrorCode::pack_invalid);
  EXPECT_EQ(pack.error().where, "pack.json");
  EXPECT_THAT(pack.error().message, StartsWith(slip.says));
}

INSTANTIATE_TEST_SUITE_P(All, PackSlip, testing::ValuesIn(kSlips));

TEST(Pack, LimitsThemselvesAreAllowed) {
  for (const char* modules : {"2", "200"}) {
    Json json = full();
    json["modules"] = Json::parse(modules);
    EXPECT_TRUE(parse_pack(json.dump(), "pack.json")) << modules;
  }
  Json json = full();
  json["required_sides"] = {"number"};
  for (int i = 4; i <= 13; ++i) {
    json["sides"]["side-" + std::to_string(i)] = json["sides"]["a-side"];
    EXPECT_EQ(parse_pack(json.dump(), "pack.json").has_value(), i <= 12) << i << " sides";
  }
}

TEST(Pack, AKeyThatStandsTwiceIsRefused) {
  std::string text = full().dump();
  text.replace(text.find("\"modules\":34"), 12, "\"modules\":34,\"modules\":28");
  const auto pack = parse_pack(text, "pack.json");
  ASSERT_FALSE(pack);
  EXPECT_THAT(pack.error().message, StartsWith("modules stands twice"));
}

TEST(Pack, WhatIsNotJsonOrNotAnObject) {
  for (const char* text : {"", "{", "modules: 34", "{\"id\": \"\xff\"}", "{} {}"}) {
    const auto pack = parse_pack(text, "pack.json");
    ASSERT_FALSE(pack) << text;
    EXPECT_EQ(pack.error().code, ErrorCode::pack_unreadable);
  }
  for (const char* text : {"[]", "34", "null"}) {
    const auto pack = parse_pack(text, "pack.json");
    ASSERT_FALSE(pack) << text;
    EXPECT_EQ(pack.error().message, "the document must be an object");
  }
}

TEST(Pack, MissingFolderAndOverlongFiles) {
  const test::ScratchFolder folder;
  for (const auto& file : {folder.path() / "none.json", folder.path(),
                           folder.write("long.json", std::string(2 << 20, ' '))}) {
    const auto pack = load_pack(file);
    ASSERT_FALSE(pack);
    EXPECT_EQ(pack.error().code, ErrorCode::pack_unreadable);
    EXPECT_EQ(pack.error().where, file.string());
  }
}

TEST(Pack, BundledDefinitionsAreSoundAndCoverTheKinds) {
  int lying = 0, all_on_one = 0, with_colors = 0, count = 0;
  for (const auto& entry :
       std::filesystem::directory_iterator(PLUMBSTACK_SOURCE_DIR "/models/packs")) {
    const auto pack = load_pack(entry.path());
    ASSERT_TRUE(pack) << entry.path() << ": " << pack.error().message;
    EXPECT_EQ(pack->id, entry.path().stem()) << "the file is named after its id";
    ++count;
    lying += !pack->slot_1_up;
    for (const Side& side : pack->sides) {
      all_on_one += side.number && side.vent && side.sign;
      with_colors += side.sign && !side.sign->colors.empty();
    }
  }
  EXPECT_GE(count, 5);
  EXPECT_GE(lying, 1);
  EXPECT_GE(all_on_one, 1);
  EXPECT_GE(with_colors, 1);
}

}  // namespace
}  // namespace plumbstack
