// The log of an archive against the schema of SARIF 2.1.0 itself (tests/outside/sarif/README.md
// says where it is from). Draft 4 of JSON Schema, as it names.
#include "sarif.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <functional>
#include <sstream>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "plumbstack/finding_codes.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::json;
using Ordered = nlohmann::ordered_json;

class SarifSchema : public testing::Test {
 protected:
  SarifSchema() {
    std::ifstream in(PLUMBSTACK_SOURCE_DIR "/tests/outside/sarif/sarif-2.1.0-rtm.5.json");
    const Json text = Json::parse(in);
    valijson::SchemaParser(valijson::SchemaParser::kDraft4)
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

  static Json logged(const std::vector<Ordered>& results, const std::string& failure) {
    std::ostringstream out;
    SarifLog log(out);
    for (const Ordered& result : results) log.add(result);
    if (!failure.empty()) log.add_failure("shop/9", failure);
    log.end();
    return Json::parse(out.str());
  }

  // A stack with every code there is, of each severity, at one side and at all of them.
  static Ordered every_finding() {
    Ordered result{{"stack", "Fennel Lane/ä & \"b\""}, {"photos", Ordered::array()}};
    for (const char* side : {"number", "vent"})
      result["photos"].push_back(
          {{"file", std::string("Fennel Lane/ä & \"b\"/") + side + " %1.jpg"}, {"side", side}});
    const char* const severities[] = {"fix", "retake", "note"};
    std::size_t k = 0;
    for (const FindingCode& code : kFindingCodes) {
      Ordered finding{{"code", code.code},
                      {"severity", severities[k % 3]},
                      {"slots", k % 2 == 0 ? Ordered{7, 9} : Ordered::array()},
                      {"message", "slot 7 reads 9"},
                      {"action", "look again"}};
      if (k % 4 != 0) finding["side"] = "vent";
      result["findings"].push_back(finding);
      ++k;
    }
    return result;
  }

  bool refuses(const std::function<void(Json&)>& change) {
    Json log = logged({every_finding()}, "is empty");
    EXPECT_EQ(refusal(log), "");
    change(log);
    return !refusal(log).empty();
  }

  valijson::Schema schema_;
};

TEST_F(SarifSchema, TakesWhatAnArchiveWrites) {
  EXPECT_EQ(refusal(logged({every_finding()}, "is empty")), "");
  EXPECT_EQ(refusal(logged({every_finding(), every_finding()}, "")), "");
  EXPECT_EQ(refusal(logged({}, "")), "");
}

TEST_F(SarifSchema, RefusesWhatIsNone) {
  EXPECT_TRUE(refuses([](Json& log) { log["version"] = "2.0.0"; }));
  EXPECT_TRUE(refuses([](Json& log) { log.erase("runs"); }));
  EXPECT_TRUE(refuses([](Json& log) { log["runs"][0]["tool"]["driver"].erase("name"); }));
  EXPECT_TRUE(refuses([](Json& log) { log["runs"][0]["results"][0]["level"] = "fatal"; }));
  EXPECT_TRUE(refuses([](Json& log) { log["runs"][0]["results"][0].erase("message"); }));
  EXPECT_TRUE(refuses([](Json& log) { log["runs"][0]["results"][0]["stack"] = "shop/1"; }));
  EXPECT_TRUE(refuses([](Json& log) { log["runs"][0]["tool"]["driver"]["rules"][0].erase("id"); }));
}

}  // namespace
}  // namespace plumbstack
