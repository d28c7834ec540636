// What is written: the document against its schema, the page, files all or none.
#include "plumbstack/electrical_record.hpp"

#include <gmock/gmock.h>

#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "electrical_fixture.hpp"
#include "plumbstack/document.hpp"
#include "row_drawing.hpp"

namespace plumbstack {
namespace {

using Parsed = nlohmann::json;
using test::plan_pack;
using test::readings_of;
using test::row_of;
using test::seen;
using testing::HasSubstr;
using testing::Not;

// Eight modules in pairs: one the wrong way round, one not known, one of another slot, a block
// open.
struct Case {
  Pack pack = plan_pack(8, 2);
  ElectricalInput input = row_of({7.85, 7.86, 7.84, 7.85, 7.86, 7.85, 7.84, 7.85});
  Case() {
    pack.bus_nut_torque_nm = 6.2;
    input.assumptions = {"Made for a test."};
  }
  void spoil() {
    input.signs_seen = true;
    input.stacked[2] = seen(WayRound::wrong);
    input.stacked[4] = seen(WayRound::not_known);
    input.stacked[7] = seen(WayRound::as_planned, 1);
    input.readings = readings_of({15.71, 0.01, 15.71, 0});
    input.readings[2] = {};
    input.readings[3] = {std::nullopt, true};
  }
  Preview preview() const { return electrical_preview(pack, input); }
  Parsed json() const { return Parsed::parse(electrical_json(pack, input, preview()).dump()); }
  std::string html() const { return electrical_html(pack, input, preview()); }
};

bool schema_takes(const Parsed& json) {
  const Parsed text =
      Parsed::parse(test::read_text(PLUMBSTACK_SOURCE_DIR "/models/schema/electrical.schema.json"));
  valijson::Schema schema;
  valijson::SchemaParser(valijson::SchemaParser::kDraft7)
      .populateSchema(valijson::adapters::NlohmannJsonAdapter(text), schema);
  const valijson::adapters::NlohmannJsonAdapter target(json);
  return valijson::Validator().validate(schema, target, nullptr);
}

TEST(ElectricalJson, HasWhatOthersRelyOn) {
  Case c;
  EXPECT_TRUE(schema_takes(c.json()));
  EXPECT_EQ(c.json()["outcome"], "as intended");
  c.spoil();
  const Parsed json = c.json();
  EXPECT_TRUE(schema_takes(json));
  EXPECT_EQ(json["outcome"], "fix");
  EXPECT_EQ(json["signs_from"], "result");
  EXPECT_EQ(json["slots"][2]["way_round"], "wrong way round");
  EXPECT_EQ(json["slots"][2]["left"], "-");  // planned with its plus there
  EXPECT_EQ(json["slots"][4]["left"], nullptr);
  EXPECT_EQ(json["slots"][4]["why"], "no sign was read with trust");
  EXPECT_EQ(json["slots"][7]["planned_for"], 1);
  EXPECT_EQ(json["bars"][1]["joins"], "like");
  EXPECT_EQ(json["bars"][2]["joins"], "like");
  EXPECT_EQ(json["bars"][3]["joins"], "not known");
  EXPECT_EQ(json["bars"][5]["joins"], "unlike");
  EXPECT_EQ(json["blocks"][2]["as_stacked_v"], nullptr);
  EXPECT_EQ(json["blocks"][1]["reading"], "outside");
  EXPECT_EQ(json["blocks"][2]["reading"], "not measured");
  EXPECT_EQ(json["blocks"][3]["reading"], "open");
  EXPECT_EQ(json["taps"].size(), 5u);
  EXPECT_EQ(json["diagnosis"]["state"], "explained");
  EXPECT_EQ(json["bus_nut_torque"]["lbf_in"], 54.87);
  EXPECT_EQ(json["high_voltage"]["from_negative_end"]["slot"], 8);
}

TEST(ElectricalJson, TheSchemaRefusesWhatIsNoPreview) {
  Case c;
  c.spoil();
  const Parsed good = c.json();
  for (const char* key : {"schema", "pack", "outcome", "slots", "bars", "blocks", "taps",
                          "high_voltage", "diagnosis", "assumptions", "cautions"}) {
    Parsed json = good;
    json.erase(key);
    EXPECT_FALSE(schema_takes(json)) << key;
  }
  Parsed json = good;
  json["bars"][0]["joins"] = "yes";
  EXPECT_FALSE(schema_takes(json));
  json = good;
  json["slots"][0]["left"] = "?";
  EXPECT_FALSE(schema_takes(json));
  json = good;
  json["diagnosis"]["explanations"][0]["candidates"] = Parsed::array();
  EXPECT_FALSE(schema_takes(json));
  json = good;
  json["cautions"] = Parsed::array();
  EXPECT_FALSE(schema_takes(json));
}

TEST(ElectricalPage, SpeaksOfHighVoltageAndOfWhatItRestsOn) {
  Case c;
  const std::string html = c.html();
  EXPECT_THAT(html, HasSubstr("Caution: high voltage"));
  EXPECT_THAT(html, HasSubstr("about 67 V DC: that kills. Any 8 neighbours"));
  EXPECT_THAT(html, HasSubstr("Local codes, licensed practice"));
  EXPECT_THAT(html, HasSubstr("As planned: no stack has been looked at"));
  EXPECT_THAT(html, HasSubstr("6.20 N·m (54.9 lbf·in)"));
  EXPECT_THAT(html, HasSubstr("Made for a test."));
  EXPECT_THAT(html, Not(HasSubstr("Fit no bus bar")));
  EXPECT_THAT(html, Not(HasSubstr("src=")));  // nothing is fetched
  c.pack.bus_nut_torque_nm.reset();
  EXPECT_THAT(c.html(), HasSubstr("the pack definition gives no torque"));
}

TEST(ElectricalPage, NamesWhatIsWrong) {
  Case c;
  c.spoil();
  c.input.modules[0].serial = "<b>&";
  const std::string html = c.html();
  EXPECT_THAT(html, HasSubstr("&lt;b&gt;&amp;"));
  EXPECT_THAT(html, Not(HasSubstr("<b>&<")));
  EXPECT_THAT(html, HasSubstr("The module in slot 3 stands the wrong way round"));
  EXPECT_THAT(html, HasSubstr("Bars 2 and 3 would join like signs"));
  EXPECT_THAT(html, HasSubstr("The sign of slot 5 is not known"));
  EXPECT_THAT(html, HasSubstr("Fit no bus bar while anything on this sheet"));
  EXPECT_THAT(html, HasSubstr("✗ open"));
}

std::vector<Text> texts_of(const Drawing& drawing, const std::string& text) {
  std::vector<Text> found;
  for (const Shape& shape : drawing.shapes)
    if (const auto* one = std::get_if<Text>(&shape); one && one->text == text)
      found.push_back(*one);
  return found;
}

TEST(RowDrawing, ShowsEveryBarThatJoinsLikeSigns) {
  Case c;
  c.spoil();
  const auto drawings = row_drawings(c.pack, c.input, c.preview());
  ASSERT_EQ(drawings.size(), 1u);
  EXPECT_EQ(texts_of(drawings[0], "LIKE SIGNS").size(), 2u);
  EXPECT_EQ(texts_of(drawings[0], "WRONG WAY ROUND").size(), 1u);
  EXPECT_EQ(texts_of(drawings[0], "?").size(), 2u);
  EXPECT_EQ(texts_of(drawings[0], "PACK −").size(), 1u);
  EXPECT_LT(texts_of(drawings[0], "PACK −")[0].y, texts_of(drawings[0], "PACK +")[0].y);
  c.input.negative_end = StackEnd::last;
  const auto other = row_drawings(c.pack, c.input, c.preview());
  EXPECT_GT(texts_of(other[0], "PACK −")[0].y, texts_of(other[0], "PACK +")[0].y);
}

TEST(RowDrawing, AllShapesLieOnThePaper) {
  for (const int modules : {2, 34, 35, 70, 200})
    for (const StackEnd negative : {StackEnd::first, StackEnd::last}) {
      ElectricalInput input = row_of(std::vector<double>(static_cast<std::size_t>(modules), 7.8));
      input.negative_end = negative;
      input.modules[0].serial.resize(60, 'W');
      for (std::size_t i = 1; i < input.stacked.size(); i += 3)
        input.stacked[i] = seen(WayRound::wrong);
      const Pack pack = plan_pack(modules, 5);
      int slots = 0;
      for (const Drawing& drawing : row_drawings(pack, input, electrical_preview(pack, input))) {
        EXPECT_LE(drawing.height, kFigureHeight + 1e-9);
        EXPECT_LE(drawing.width, kContentWidth);
        for (const Shape& shape : drawing.shapes) {
          if (const auto* box = std::get_if<Box>(&shape)) {
            EXPECT_LE(box->y + box->height, drawing.height);
            slots += box->x > 0;
          }
          if (const auto* text = std::get_if<Text>(&shape)) {
            EXPECT_GE(text->size, 1.5) << text->text;
            EXPECT_GE(text->y, 0);
            EXPECT_LE(text->y, drawing.height);
          }
          if (const auto* line = std::get_if<Line>(&shape)) {
            EXPECT_LE(std::max(line->y1, line->y2), drawing.height);
          }
        }
      }
      EXPECT_EQ(slots, modules);
    }
}

TEST(WritePreview, AllFilesOrNone) {
  const Case c;
  const test::ScratchFolder folder;
  ASSERT_TRUE(write_preview(folder.path(), c.pack, c.input, c.preview()));
  EXPECT_EQ(Parsed::parse(test::read_text(folder.path() / "electrical.json")), c.json());
  EXPECT_EQ(test::read_text(folder.path() / "electrical.html"), c.html());

  ASSERT_TRUE(retire_old_preview(folder.path()));
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "electrical.json"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "electrical.previous.json"));

  // The last file can't be put in place: the other goes again.
  std::filesystem::create_directories(folder.path() / "electrical.json/in the way");
  const auto written = write_preview(folder.path(), c.pack, c.input, c.preview());
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().code, ErrorCode::output_unwritable);
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "electrical.html"));
}

}  // namespace
}  // namespace plumbstack
