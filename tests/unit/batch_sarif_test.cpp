// Against the text of the standard: SARIF 2.1.0, sections 3.13 (log), 3.14 (run), 3.19
// (driver), 3.27 (result); property names and the values of `level` are from memory of it.
#include <gmock/gmock.h>

#include <sstream>

#include "plumbstack/finding_codes.hpp"
#include "sarif.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::ordered_json;

Json logged(const std::vector<Json>& results) {
  std::ostringstream out;
  SarifLog log(out);
  for (const Json& result : results) log.add(result);
  log.add_failure("shop/9", "number.jpg: is empty");
  log.end();
  return Json::parse(out.str());
}

Json some_result() {
  return Json::parse(R"({"stack": "shop/1", "photos": [
      {"file": "shop/1/number side.jpg", "side": "number"}, {"file": "shop/1/vent.jpg", "side": "vent"}],
    "findings": [
      {"code": "number.order", "severity": "fix", "side": "number", "slots": [7, 9],
       "message": "slot 7 reads 9", "action": "swap them"},
      {"code": "sides.disagree", "severity": "retake", "slots": [], "message": "m", "action": "a"},
      {"code": "stagger.near", "severity": "note", "side": "vent", "slots": [2], "message": "m", "action": "a"}]})");
}

TEST(Sarif, EachFindingIsAResultAtItsPhotos) {
  const Json log = logged({some_result()});
  EXPECT_EQ(log["version"], "2.1.0");
  ASSERT_EQ(log["runs"].size(), 1u);
  const Json& results = log["runs"][0]["results"];
  ASSERT_EQ(results.size(), 4u);
  EXPECT_EQ(results[0]["ruleId"], "number.order");
  EXPECT_EQ(results[0]["level"], "error");
  EXPECT_EQ(results[0]["message"]["text"], "slot 7 reads 9; swap them");
  ASSERT_EQ(results[0]["locations"].size(), 1u);
  EXPECT_EQ(results[0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"],
            "shop/1/number%20side.jpg");
  EXPECT_EQ(results[0]["locations"][0]["logicalLocations"][1]["name"], "slot 9");
  EXPECT_EQ(results[1]["level"], "warning");
  EXPECT_EQ(results[1]["locations"].size(), 2u);  // of the whole stack: at all its photos
  EXPECT_EQ(results[2]["level"], "note");
  EXPECT_EQ(results[3]["message"]["text"], "number.jpg: is empty");
}

TEST(Sarif, EachRuleIsDescribed) {
  const Json log = logged({});
  const Json& rules = log["runs"][0]["tool"]["driver"]["rules"];
  EXPECT_EQ(rules.size(), kFindingCodes.size() + 1);
  for (const Json& rule : rules) EXPECT_FALSE(rule["shortDescription"]["text"].empty());
}

}  // namespace
}  // namespace plumbstack
