#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

#include "check_fixture.hpp"
#include "plumbstack/record.hpp"

namespace plumbstack::test {
namespace {

using Json = nlohmann::ordered_json;
using testing::ElementsAre;

std::vector<std::string> keys(const Json& json) {
  std::vector<std::string> names;
  for (const auto& [name, value] : json.items()) names.push_back(name);
  return names;
}

class ResultJson : public testing::Test {
 protected:
  const Pack pack = fixture_pack();
  Check check = good_check(pack);
  Json json() const { return result_json(pack, check); }
  Json slot(std::size_t photo, std::size_t slot) const {
    return json()["photos"][photo]["slots"][slot - 1];
  }
};

TEST_F(ResultJson, KeepsThePublishedOrderOfKeys) {
  const Json j = result_json(pack, swapped_check(pack));
  EXPECT_THAT(keys(j), ElementsAre("schema", "program", "pack", "verdict", "trust_bar", "photos",
                                   "findings", "repair", "missing_sides", "ms"));
  EXPECT_THAT(keys(j["photos"][0]),
              ElementsAre("file", "sha256", "side", "width", "height", "exif_orientation",
                          "verdict", "stack", "slots", "capture"));
  EXPECT_THAT(keys(j["photos"][0]["stack"]),
              ElementsAre("quad", "slot_1_at", "modules", "mm_per_px"));
  EXPECT_THAT(
      keys(j["photos"][0]["slots"][0]),
      ElementsAre("slot", "seen", "face", "number", "stagger_mm", "stagger_sd_mm", "gap_mm"));
  EXPECT_THAT(
      keys(j["photos"][1]["slots"][0]),
      ElementsAre("slot", "seen", "face", "vent", "sign", "stagger_mm", "stagger_sd_mm", "gap_mm"));
  EXPECT_THAT(keys(j["photos"][0]["slots"][0]["number"]),
              ElementsAre("text", "confidence", "quad", "rotation_deg", "end"));
  EXPECT_THAT(keys(j["findings"][0]),
              ElementsAre("code", "severity", "side", "slots", "message", "action"));
  EXPECT_THAT(keys(j["ms"]), ElementsAre("total", "decode", "marks"));
}

TEST_F(ResultJson, GivesEachValueAsMeasuredAndSensiblyRounded) {
  check.trust_bar = {0.996, 0.98, 0.97};
  const Json j = json();
  EXPECT_EQ(j["schema"], "plumbstack/result/1");
  EXPECT_EQ(j["program"]["name"], "plumbstack");
  EXPECT_EQ(j["trust_bar"].dump(), R"({"number":0.996,"vent":0.98,"sign":0.97})");
  const Json photo = j["photos"][0];
  EXPECT_EQ(photo["file"], "number.jpg");
  EXPECT_EQ(photo["width"], 1000);
  EXPECT_EQ(photo["height"], 600);
  EXPECT_EQ(photo["stack"].dump(),
            R"({"quad":[[380.0,200.0],[620.0,200.0],[620.0,440.0],[380.0,440.0]],)"
            R"("slot_1_at":"top","modules":6,"mm_per_px":0.5})");
  EXPECT_EQ(photo["slots"][1].dump(),
            R"({"slot":2,"seen":true,"face":[[380.0,240.0],[620.0,240.0],[620.0,280.0],)"
            R"([380.0,280.0]],"number":{"text":"2","confidence":0.9987,"quad":[[590.0,272.0],)"
            R"([570.0,272.0],[570.0,248.0],[590.0,248.0]],"rotation_deg":180,"end":"right"},)"
            R"("stagger_mm":0.123,"stagger_sd_mm":0.08,"gap_mm":0.3})");
  EXPECT_EQ(j["ms"].dump(), R"({"total":412.3,"decode":61.0,"marks":200.0})");
}

TEST_F(ResultJson, LeavesOutWhatDoesNotApply) {
  EXPECT_FALSE(slot(0, 1).contains("vent"));
  EXPECT_FALSE(slot(1, 1).contains("number"));
  EXPECT_FALSE(slot(0, kSlots).contains("gap_mm"));
  slot_of(check, 0, 3).stagger_mm.reset();
  EXPECT_FALSE(slot(0, 3).contains("stagger_mm"));
  EXPECT_FALSE(slot(0, 3).contains("stagger_sd_mm"));
  EXPECT_FALSE(json()["photos"][0].contains("taken_at"));
  check.photos[0].photo.taken_at = "2026:11:20 10:31:07";
  EXPECT_EQ(json()["photos"][0]["taken_at"], "2026:11:20 10:31:07");
}

TEST_F(ResultJson, SaysNullWhereAMarkWasSoughtAndNotFound) {
  slot_of(check, 0, 3).number = {};
  slot_of(check, 1, 3).vent = {};
  slot_of(check, 1, 3).sign = {};
  EXPECT_EQ(slot(0, 3)["number"].dump(), R"({"text":null,"confidence":0.0})");
  EXPECT_EQ(slot(1, 3)["vent"].dump(), R"({"end":null,"confidence":0.0})");
  EXPECT_EQ(slot(1, 3)["sign"].dump(), R"({"sign":null,"confidence":0.0})");
}

TEST_F(ResultJson, KeepsTheBestTextOfAnUntrustedReading) {
  slot_of(check, 0, 3).number.confidence = 0.41236;
  slot_of(check, 0, 3).number.end.reset();
  EXPECT_EQ(slot(0, 3)["number"]["text"], "3");
  EXPECT_EQ(slot(0, 3)["number"]["confidence"], 0.4124);
  EXPECT_TRUE(slot(0, 3)["number"]["end"].is_null());
}

TEST_F(ResultJson, TellsASignTakenFromTheOtherEnd) {
  slot_of(check, 1, 2).sign.from_opposite = true;
  EXPECT_EQ(slot(1, 2)["sign"].dump(), R"({"sign":"-","confidence":0.993,"from":"opposite"})");
  EXPECT_FALSE(slot(1, 1)["sign"].contains("from"));
}

TEST_F(ResultJson, HasOneEntryPerSlotWhateverWasSeen) {
  slot_of(check, 0, 4) = {};
  EXPECT_EQ(slot(0, 4).dump(), R"({"slot":4,"seen":false})");
  check.photos[0].evidence.marks.slots.clear();  // the count did not fit the pack
  check.photos[0].evidence.modules_counted = 5;
  const Json photo = json()["photos"][0];
  ASSERT_EQ(photo["slots"].size(), 6u);
  for (const Json& s : photo["slots"]) EXPECT_EQ(s["seen"], false);
  EXPECT_EQ(photo["stack"]["modules"], 5);
}

TEST_F(ResultJson, LeavesOutAStackThatWasNotFound) {
  const Json j = result_json(pack, stackless_check(pack));
  EXPECT_FALSE(j["photos"][0].contains("stack"));
  EXPECT_EQ(j["photos"][0]["slots"].size(), 6u);
  EXPECT_EQ(j["verdict"], "retake");
  EXPECT_EQ(j["missing_sides"].dump(), R"(["vent"])");
}

TEST_F(ResultJson, TurnsTheStacksCornersWithSlotOne) {
  check.photos[0].evidence.slot_1_at = Edge::bottom;
  const Json stack = json()["photos"][0]["stack"];
  EXPECT_EQ(stack["slot_1_at"], "bottom");
  EXPECT_EQ(stack["quad"].dump(), "[[620.0,440.0],[380.0,440.0],[380.0,200.0],[620.0,200.0]]");
  check.photos[0].evidence.slot_1_at.reset();
  EXPECT_TRUE(json()["photos"][0]["stack"]["slot_1_at"].is_null());
}

TEST_F(ResultJson, TurnsALyingStackByItsLeftAndRight) {
  check.photos[0].frame->lying = true;
  check.photos[0].evidence.slot_1_at = Edge::left;
  EXPECT_EQ(json()["photos"][0]["stack"]["quad"][0].dump(), "[380.0,200.0]");
  check.photos[0].evidence.slot_1_at = Edge::right;
  EXPECT_EQ(json()["photos"][0]["stack"]["quad"][0].dump(), "[620.0,440.0]");
}

TEST_F(ResultJson, CarriesFindingsAndRepair) {
  check = swapped_check(pack);
  check.judgement.findings.push_back(
      {"sides.disagree", Severity::retake, "", {3}, "the sides differ", "look"});
  const Json j = json();
  EXPECT_EQ(j["verdict"], "fix");
  EXPECT_EQ(j["photos"][0]["verdict"], "fix");
  EXPECT_EQ(j["photos"][1]["verdict"], "pass");
  EXPECT_EQ(j["findings"][0]["slots"].dump(), "[2,5]");
  EXPECT_FALSE(j["findings"][1].contains("side"));
  EXPECT_EQ(j["repair"][0].dump(), R"({"from_slot":2,"to_slot":5,"turn":true,)"
                                   R"("text":"put the module in slot 2 into slot 5, turned"})");
}

TEST_F(ResultJson, NeverWritesMinusZeroOrWhatIsNoNumber) {
  slot_of(check, 0, 1).stagger_mm = -0.0001;
  slot_of(check, 0, 2).stagger_mm = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(slot(0, 1)["stagger_mm"].dump(), "0.0");
  EXPECT_EQ(slot(0, 2)["stagger_mm"].dump(), "0.0");
}

}  // namespace
}  // namespace plumbstack::test
