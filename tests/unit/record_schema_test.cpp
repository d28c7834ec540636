// The published schema takes what the program writes and refuses what it must not write.
#include <gtest/gtest.h>

#include <functional>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "check_fixture.hpp"
#include "files.hpp"
#include "plumbstack/record.hpp"

namespace plumbstack::test {
namespace {

using Json = nlohmann::json;

class ResultSchema : public testing::Test {
 protected:
  ResultSchema() {
    const Json text = Json::parse(
        read_text(std::string(PLUMBSTACK_SOURCE_DIR) + "/models/schema/result.schema.json"));
    valijson::SchemaParser(valijson::SchemaParser::kDraft7)
        .populateSchema(valijson::adapters::NlohmannJsonAdapter(text), schema_);
  }

  // Empty = taken; else what is wrong.
  std::string refusal(const Json& json) {
    valijson::ValidationResults results;
    const valijson::adapters::NlohmannJsonAdapter target(json);
    if (valijson::Validator().validate(schema_, target, &results)) return "";
    std::string text = "refused:";
    for (const auto& error : results) {
      text += "\n";
      for (const std::string& step : error.context) text += step;
      text += " " + error.description;
    }
    return text;
  }

  static Json plain(const Check& check) {
    return Json::parse(result_json(fixture_pack(), check).dump());
  }

  // What the schema says of a good result with one thing changed.
  bool refuses(const std::function<void(Json&)>& change) {
    Json json = plain(swapped_check(fixture_pack()));
    EXPECT_EQ(refusal(json), "");
    change(json);
    return !refusal(json).empty();
  }

  valijson::Schema schema_;
};

TEST_F(ResultSchema, TakesEveryKindOfResult) {
  const Pack pack = fixture_pack();
  EXPECT_EQ(refusal(plain(good_check(pack))), "");
  EXPECT_EQ(refusal(plain(swapped_check(pack))), "");
  EXPECT_EQ(refusal(plain(stackless_check(pack))), "");
  Check gaps = good_check(pack);
  slot_of(gaps, 0, 1) = {};
  slot_of(gaps, 0, 2).number = {};
  slot_of(gaps, 0, 3).number.end.reset();
  slot_of(gaps, 0, 4).stagger_mm.reset();
  slot_of(gaps, 1, 2).vent = {};
  slot_of(gaps, 1, 3).sign.from_opposite = true;
  gaps.photos[0].evidence.slot_1_at.reset();
  gaps.photos[1].evidence.marks.slots.clear();
  EXPECT_EQ(refusal(plain(gaps)), "");
}

TEST_F(ResultSchema, AllowsKeysOfALaterVersion) {
  EXPECT_FALSE(refuses([](Json& j) { j["photos"][0]["later"] = 1; }));
}

TEST_F(ResultSchema, RefusesAVerdictThatIsNone) {
  EXPECT_TRUE(refuses([](Json& j) { j.erase("verdict"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["verdict"] = "ok"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][1]["verdict"] = "PASS"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["schema"] = "plumbstack/result/2"; }));
}

TEST_F(ResultSchema, RefusesMalformedGeometry) {
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0]["face"].erase(3); }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0]["face"][1] = {1, 2, 3}; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0]["face"][1][0] = nullptr; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["stack"]["slot_1_at"] = "up"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["stack"].erase("quad"); }));
}

TEST_F(ResultSchema, RefusesReadingsThatAreIncomplete) {
  const auto number = [](Json& j) -> Json& { return j["photos"][0]["slots"][0]["number"]; };
  EXPECT_TRUE(refuses([&](Json& j) { number(j)["text"] = 1; }));
  EXPECT_TRUE(refuses([&](Json& j) { number(j)["confidence"] = 1.2; }));
  EXPECT_TRUE(refuses([&](Json& j) { number(j)["rotation_deg"] = 45; }));
  EXPECT_TRUE(refuses([&](Json& j) { number(j).erase("quad"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][1]["slots"][0]["vent"]["end"] = "top"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][1]["slots"][0]["sign"]["sign"] = "plus"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][1]["slots"][0]["sign"].erase("confidence"); }));
}

TEST_F(ResultSchema, RefusesSlotsThatSayTwoThings) {
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0].erase("seen"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0].erase("face"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0]["seen"] = false; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0]["slot"] = 0; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["slots"][0].erase("stagger_sd_mm"); }));
}

TEST_F(ResultSchema, RefusesFindingsNobodyCanActOn) {
  EXPECT_TRUE(refuses([](Json& j) { j["findings"][0].erase("action"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["findings"][0]["severity"] = "error"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["findings"][0]["code"] = "Order"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["findings"][0]["slots"] = {"2"}; }));
  EXPECT_TRUE(refuses([](Json& j) { j["findings"][0]["message"] = ""; }));
}

TEST_F(ResultSchema, RefusesAPhotoThatCannotBeKnownAgain) {
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["sha256"] = "abc"; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0]["exif_orientation"] = 9; }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"][0].erase("slots"); }));
  EXPECT_TRUE(refuses([](Json& j) { j["photos"] = Json::array(); }));
}

}  // namespace
}  // namespace plumbstack::test
