// All sides of one stack: what the sides must agree on, that every fault can be asked for and is in
// the truth, and that the same seed gives the same bytes.
#include "stack_photos.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "faults.hpp"
#include "files.hpp"

namespace scene {
namespace {

using plumbstack::test::read_text;
using plumbstack::test::ScratchFolder;
using Json = nlohmann::ordered_json;

const std::filesystem::path kSource = PLUMBSTACK_SOURCE_DIR;

plumbstack::Pack pack_named(const std::string& id) {
  return plumbstack::load_pack(kSource / "models/packs" / (id + ".json")).value();
}

std::vector<SidePlan> planned(const std::string& pack, const std::vector<std::string>& faults,
                              std::uint64_t seed = 5) {
  Dice dice(seed);
  StackAsk ask;
  ask.faults = faults;
  return plan_stack(dice, pack_named(pack), ask).value();
}

// Slots of each code, over what one side shows.
std::map<std::string, std::vector<int>> codes_of(const SidePlan& plan) {
  std::map<std::string, std::vector<int>> codes;
  for (const auto& finding : findings_of(plan, plan.texts))
    codes[finding["code"]] = finding["slots"].get<std::vector<int>>();
  return codes;
}

TEST(StackPlan, AGoodStackHasNoFindingOnAnySide) {
  for (const char* pack : {"long-34", "medium-28", "short-40", "top-20", "lying-24", "long-28"}) {
    const std::vector<SidePlan> plans = planned(pack, {});
    EXPECT_EQ(plans.size(), pack_named(pack).sides.size());
    for (const SidePlan& plan : plans) EXPECT_TRUE(codes_of(plan).empty()) << pack << plan.name;
  }
}

TEST(StackPlan, EveryFaultCanBeAskedForAndIsInTheTruth) {
  const std::map<std::string, std::string> told_as{{"number.order_odd", "number.order"},
                                                   {"number.moved", "number.order"},
                                                   {"turned", "number.rotation"}};
  for (const std::string& fault : fault_names()) {
    if (fault == "none") continue;
    std::set<std::string> codes;
    for (const SidePlan& plan : planned("long-34", {fault}))
      for (const auto& [code, slots] : codes_of(plan)) codes.insert(code);
    EXPECT_TRUE(codes.contains(told_as.contains(fault) ? told_as.at(fault) : fault)) << fault;
  }
}

TEST(StackPlan, ATurnedModuleIsTurnedOnEverySide) {
  for (std::uint64_t seed = 1; seed < 20; ++seed) {
    const std::vector<SidePlan> plans = planned("long-34", {"turned"}, seed);
    const std::vector<int> slots = codes_of(plans[0])["number.rotation"];
    EXPECT_FALSE(slots.empty());
    EXPECT_EQ(codes_of(plans[0])["number.end"], slots);
    EXPECT_EQ(codes_of(plans[1])["vent.repeat"], slots);
    for (std::size_t side : {1u, 2u, 3u}) EXPECT_EQ(codes_of(plans[side])["sign.repeat"], slots);
  }
}

TEST(StackPlan, AModuleNumberedTheWrongWayRoundIsToldByItsVentAlone) {
  const std::vector<SidePlan> plans = planned("long-34", {"vent.repeat"});
  EXPECT_TRUE(codes_of(plans[0]).empty());
  EXPECT_TRUE(codes_of(plans[1]).contains("vent.repeat"));
  const std::vector<SidePlan> miswritten = planned("long-34", {"number.rotation"});
  EXPECT_TRUE(codes_of(miswritten[0]).contains("number.rotation"));
  EXPECT_TRUE(codes_of(miswritten[1]).empty());
}

TEST(StackPlan, AShiftAlongTheLengthShowsOnTheLongSidesMirrored) {
  const std::vector<SidePlan> plans = planned("long-34", {"stagger.over", "seat.gap"});
  const std::vector<int> slots = codes_of(plans[0])["stagger.over"];
  EXPECT_EQ(slots.size(), 1u);
  EXPECT_EQ(codes_of(plans[1])["stagger.over"], slots);
  EXPECT_FALSE(codes_of(plans[2]).contains("stagger.over"));
  for (std::size_t k = 0; k < plans[0].stack.size(); ++k) {
    EXPECT_EQ(plans[0].stack[k].stagger, -plans[1].stack[k].stagger);
    EXPECT_EQ(plans[2].stack[k].stagger, -plans[3].stack[k].stagger);
    EXPECT_EQ(plans[0].stack[k].gap_after, plans[3].stack[k].gap_after);
  }
  for (const SidePlan& plan : plans) EXPECT_TRUE(codes_of(plan).contains("seat.gap"));
}

TEST(StackPlan, ThePackKeepsItsCountAndTheStackLacksOne) {
  const SidePlan plan = planned("lying-24", {"count.short"})[0];
  EXPECT_EQ(plan.declared_modules, 24);
  EXPECT_EQ(plan.stack.size(), 23u);
  EXPECT_EQ(planned("lying-24", {"count.long"})[1].stack.size(), 25u);
}

TEST(StackPlan, WhatThePackCannotShowIsRefused) {
  const auto refusal = [](const char* pack, const std::vector<std::string>& faults,
                          const std::string& side = "", const std::string& capture = "none") {
    StackAsk ask;
    ask.faults = faults;
    ask.spoilt_side = side;
    ask.capture_fault = capture;
    Dice dice(1);
    return plan_stack(dice, pack_named(pack), ask).error().message;
  };
  using testing::HasSubstr;
  EXPECT_THAT(refusal("short-40", {"number.end"}), HasSubstr("no side shows number.end"));
  EXPECT_THAT(refusal("lying-24", {"stack.reversed"}), HasSubstr("stack.reversed"));
  EXPECT_THAT(refusal("long-34", {"seat.gap", "count.short"}), HasSubstr("seat.gap"));
  EXPECT_THAT(refusal("long-34", {"number.odd"}), HasSubstr("no fault has the name"));
  EXPECT_THAT(refusal("top-20", {}, "vent", "blur"), HasSubstr("no side vent"));
  EXPECT_THAT(refusal("top-20", {}, "top", "fog"), HasSubstr("no capture fault"));
}

// A small stack, drawn small: what is tested is that it is all there, not how it looks.
const char* const kPack = R"({"schema": "plumbstack/pack/1", "id": "bench-5", "name": "5 modules",
  "modules": 5, "module_mm": {"length": 120, "height": 80, "thickness": 20},
  "sides": {"number": {"strip_mm": 120, "number": {"first": 1, "end": "left", "rotation_deg": 0}},
            "end": {"strip_mm": 80, "sign": {"slot_1": "+", "end": "any"}}},
  "stagger_limit_mm": 1, "slot_1_up": true})";

std::map<std::string, std::string> drawn(const StackOrder& order, const LetteringShop& shop) {
  const ScratchFolder scratch;
  const std::filesystem::path pack = scratch.write("bench-5.json", std::string(kPack));
  const auto written = write_stack(pack, order, shop, scratch.path() / "job");
  EXPECT_TRUE(written) << written.error().message;
  std::map<std::string, std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(scratch.path() / "job"))
    files[entry.path().filename().string()] = read_text(entry.path());
  return files;
}

TEST(StackPhotos, AreTheSameBytesFromTheSameSeed) {
  const LetteringShop shop("/usr/share/fonts/truetype/dejavu",
                           kSource / "tools/scene_maker/assets/handwriting.bin", true);
  StackOrder order;
  order.seed = 3;
  order.long_side_px = 480;
  order.ask.faults = {"turned"};
  const std::map<std::string, std::string> files = drawn(order, shop);
  EXPECT_EQ(files.size(), 5u);
  EXPECT_EQ(files, drawn(order, shop));
  EXPECT_EQ(files.at("pack.json"), kPack);
  for (const char* side : {"number", "end"}) {
    const Json truth = Json::parse(files.at(std::string(side) + ".truth.json"));
    EXPECT_EQ(truth["side"], side);
    EXPECT_EQ(truth["stack_id"], "job");
    EXPECT_EQ(truth["file"], std::string(side) + ".jpg");
    EXPECT_EQ(truth["slots"].size(), 5u);
    EXPECT_EQ(truth["pack"]["sides"].size(), 1u);
    EXPECT_TRUE(plumbstack::parse_pack(truth["pack"].dump(), "truth"));
  }
  order.seed = 4;
  order.with_cover = true;
  const std::map<std::string, std::string> others = drawn(order, shop);
  EXPECT_TRUE(others.contains("number.cover.pgm"));
  EXPECT_NE(others.at("number.jpg"), files.at("number.jpg"));
}

TEST(StackPhotos, ASpoiltPhotoIsOneToTakeAgain) {
  const LetteringShop shop("/usr/share/fonts/truetype/dejavu",
                           kSource / "tools/scene_maker/assets/handwriting.bin", true);
  StackOrder order;
  order.long_side_px = 480;
  order.ask.spoilt_side = "end";
  order.ask.capture_fault = "blur";
  const std::map<std::string, std::string> files = drawn(order, shop);
  EXPECT_EQ(Json::parse(files.at("end.truth.json"))["expect"], "retake");
  EXPECT_EQ(Json::parse(files.at("number.truth.json"))["capture_fault"], "none");
}

}  // namespace
}  // namespace scene
