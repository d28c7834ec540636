// What is written: the document against its schema, the sheet as page and as PDF, files all or
// none.
#include "plumbstack/plan_record.hpp"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <regex>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "pdf_canvas.hpp"
#include "plan_fixture.hpp"
#include "sheet_parts.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::json;
using test::plan_pack;
using testing::HasSubstr;

struct Case {
  Pack pack = plan_pack(7, 2, CoolEnd::both);
  TestSheet sheet = test::sheet_by_lot(9, 3);
  Plan plan;
  Case() {
    sheet.other_columns = {"shelf"};
    for (TestedModule& module : sheet.modules) module.others = {"row <3>"};
    sheet.modules[4].leak = LeakTest::failed;
    plan = *make_plan(pack, sheet);
  }
  Json json() const { return Json::parse(plan_json(pack, sheet, plan).dump()); }
};

bool schema_takes(const Json& json) {
  const Json text =
      Json::parse(test::read_text(PLUMBSTACK_SOURCE_DIR "/models/schema/plan.schema.json"));
  valijson::Schema schema;
  valijson::SchemaParser(valijson::SchemaParser::kDraft7)
      .populateSchema(valijson::adapters::NlohmannJsonAdapter(text), schema);
  const valijson::adapters::NlohmannJsonAdapter target(json);
  return valijson::Validator().validate(schema, target, nullptr);
}

TEST(PlanJson, HasWhatOthersRelyOn) {
  const Case c;
  const Json json = c.json();
  EXPECT_TRUE(schema_takes(json));
  EXPECT_EQ(json["schema"], "plumbstack/plan/1");
  EXPECT_EQ(json["pack"], "short");
  ASSERT_EQ(json["slots"].size(), 7u);
  EXPECT_EQ(json["slots"][3]["slot"], 4);
  EXPECT_EQ(json["slots"][3]["number"], 14);
  EXPECT_EQ(json["slots"][3]["serial"], c.sheet.modules[c.plan.slots[3].module].serial);
  EXPECT_EQ(json["slots"][3]["columns"]["shelf"], "row <3>");
  ASSERT_EQ(json["blocks"].size(), 4u);
  EXPECT_EQ(json["refused"][0]["serial"], "FL-104");
  EXPECT_EQ(json["spares"].size(), 1u);
  // The spread is that of the full blocks' sums as written.
  double low = 1e9, high = 0;
  for (const Json& block : json["blocks"])
    if (block["slots"].size() == 2) {
      low = std::min(low, block["capacity_sum_ah"].get<double>());
      high = std::max(high, block["capacity_sum_ah"].get<double>());
    }
  EXPECT_NEAR(json["spread_ah"].get<double>(), high - low, 1e-6);
}

TEST(PlanJson, TheSchemaRefusesWhatIsNoPlan) {
  const Json good = Case().json();
  for (const char* key :
       {"schema", "pack", "slots", "blocks", "spread_ah", "bound_ah", "spares", "refused"}) {
    Json json = good;
    json.erase(key);
    EXPECT_FALSE(schema_takes(json)) << key;
  }
  Json json = good;
  json["slots"][0]["serial"] = "";
  EXPECT_FALSE(schema_takes(json));
  json = good;
  json["spread_ah"] = -1;
  EXPECT_FALSE(schema_takes(json));
  json = good;
  json["refused"][0].erase("reason");
  EXPECT_FALSE(schema_takes(json));
}

TEST(StackingSheet, TheOrderNamesEverySlotOnce) {
  const Case c;
  const Document document = stacking_sheet(c.pack, c.sheet, c.plan);
  const auto& order = std::get<Table>(document.sections[1].pieces.at(0));
  ASSERT_EQ(order.rows.size(), 7u);
  for (std::size_t i = 0; i < 7; ++i) {
    EXPECT_EQ(order.rows[i].cells[0], std::to_string(i + 1));
    EXPECT_EQ(order.rows[i].cells[1], std::to_string(i + 11));
    EXPECT_EQ(order.rows[i].cells[2], c.sheet.modules[c.plan.slots[i].module].serial);
    EXPECT_EQ(order.rows[i].cells[4], i % 2 == 0 ? "vent left, + left" : "vent right, − left");
  }
}

// Texts of a drawing at this height, from left to right as they were drawn.
std::vector<Text> texts_of(const Drawing& drawing, const std::string& text) {
  std::vector<Text> found;
  for (const Shape& shape : drawing.shapes)
    if (const auto* one = std::get_if<Text>(&shape); one && one->text == text)
      found.push_back(*one);
  return found;
}

TEST(StackingSheet, ASideIsDrawnAsItMustLook) {
  const Case c;
  const auto drawings = side_drawings(c.pack, c.pack.sides[0], c.sheet, c.plan);
  ASSERT_EQ(drawings.size(), 1u);
  std::vector<double> vents;
  double last = 0;
  for (int slot = 1; slot <= 7; ++slot) {
    // Upright in its column, and turned on the strip's right half.
    const auto numbers = texts_of(drawings[0], std::to_string(slot + 10));
    ASSERT_EQ(numbers.size(), 2u);
    EXPECT_EQ(numbers[0].turn_deg, 0);
    EXPECT_EQ(numbers[1].turn_deg, 180);
    EXPECT_GT(numbers[1].x, numbers[0].x + 50);
    EXPECT_GT(numbers[0].y, last);
    last = numbers[0].y;
    const auto& serial = c.sheet.modules[c.plan.slots[static_cast<std::size_t>(slot - 1)].module];
    ASSERT_EQ(texts_of(drawings[0], serial.serial).size(), 1u);
    EXPECT_NEAR(texts_of(drawings[0], serial.serial)[0].y, last, 1e-9);
    for (const Shape& shape : drawings[0].shapes)
      if (const auto* disc = std::get_if<Disc>(&shape);
          disc && disc->stroke.width == 0 && std::abs(disc->y - last) < 1e-9)
        vents.push_back(disc->x);
  }
  ASSERT_EQ(vents.size(), 7u);
  for (std::size_t i = 1; i < 7; ++i) EXPECT_EQ(vents[i] > vents[i - 1], i % 2 == 1) << i;
  EXPECT_EQ(texts_of(drawings[0], "red").size(), 4u);  // the plus of slots 1, 3, 5, 7
}

TEST(StackingSheet, AllShapesLieOnThePaper) {
  for (const int modules : {2, 34, 35, 70, 200}) {
    Pack pack = plan_pack(modules, 5);
    pack.sides.push_back(pack.sides[0]);
    pack.sides[1].name = "small";
    pack.sides[1].strip_mm = 20;
    pack.sides[1].number->rotation_deg = 90;
    TestSheet sheet = test::sheet_by_lot(modules, 1);
    for (TestedModule& module : sheet.modules) module.serial.resize(60, 'W');
    // No two serials need differ for a drawing.
    const auto plan = make_plan(pack, sheet);
    ASSERT_TRUE(plan);
    int rows = 0;
    for (const Side& side : pack.sides)
      for (const Drawing& drawing : side_drawings(pack, side, sheet, *plan)) {
        EXPECT_LE(drawing.height, kFigureHeight);
        EXPECT_LE(drawing.width, kContentWidth);
        for (const Shape& shape : drawing.shapes) {
          if (const auto* box = std::get_if<Box>(&shape)) {
            ++rows;
            EXPECT_LE(box->y + box->height, drawing.height);
          }
          if (const auto* text = std::get_if<Text>(&shape)) {
            EXPECT_GE(text->size, 1) << text->text;
            EXPECT_LE(text->y, drawing.height);
          }
        }
      }
    EXPECT_EQ(rows, 2 * modules);
  }
}

TEST(StackingSheet, ThePageIsSafeAndSpeaksOfHighVoltage) {
  Case c;
  c.sheet.modules[c.plan.slots[0].module].serial = "<b>&\"1\"";
  const std::string html = stacking_sheet_html(c.pack, c.sheet, c.plan);
  EXPECT_THAT(html, HasSubstr("&lt;b&gt;&amp;&quot;1&quot;"));
  EXPECT_EQ(html.find("<b>&\""), std::string::npos);
  EXPECT_THAT(html, HasSubstr("Caution: high voltage"));
  EXPECT_THAT(html, HasSubstr("about 59 V DC; joined to others it can kill"));  // 7 x 6 x 1.4 V
  EXPECT_THAT(html, HasSubstr("Local codes, licensed practice"));
  EXPECT_THAT(html, HasSubstr("leak test failed"));
  EXPECT_EQ(html.find("src="), std::string::npos);  // nothing is fetched
}

int pages_of(const std::string& pdf) {
  const std::regex page(R"(/Type\s*/Page[^s])");
  return static_cast<int>(
      std::distance(std::sregex_iterator(pdf.begin(), pdf.end(), page), std::sregex_iterator()));
}

TEST(StackingSheet, ThePdfIsVectorOnBothPapers) {
  const Case c;
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    const auto pdf = stacking_sheet_pdf(c.pack, c.sheet, c.plan, paper);
    ASSERT_TRUE(pdf);
    EXPECT_THAT(*pdf, testing::StartsWith("%PDF-"));
    EXPECT_EQ(pages_of(*pdf), 4);  // summary, order, one side, blocks
    EXPECT_THAT(*pdf, HasSubstr("DejaVuSans"));
    EXPECT_EQ(pdf->find("/Image"), std::string::npos);
  }
}

TEST(PdfCanvas, BreaksLinesBetweenWordsAndLongWordsInside) {
  PdfCanvas canvas(Paper::a4, "test");
  for (const double room : {10.0, 25.0, 60.0}) {
    const std::string text = "weaker blocks ΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩΩ at the cool end";
    std::string joined;
    for (const std::string& line : canvas.lines(text, 4, false, room)) {
      EXPECT_LE(canvas.text_width(line, 4, false), room);
      joined += line;
    }
    std::string without = text;
    std::erase(without, ' ');
    std::erase(joined, ' ');
    EXPECT_EQ(joined, without);
  }
  EXPECT_THAT(canvas.lines("one two", 4, false, 100), testing::ElementsAre("one two"));
}

TEST(WritePlan, AllFilesOrNone) {
  const Case c;
  const test::ScratchFolder folder;
  ASSERT_TRUE(write_plan(folder.path(), c.pack, c.sheet, c.plan));
  EXPECT_EQ(Json::parse(test::read_text(folder.path() / "plan.json")), c.json());
  EXPECT_THAT(test::read_text(folder.path() / "stacking-sheet.pdf"), testing::StartsWith("%PDF"));
  EXPECT_THAT(test::read_text(folder.path() / "stacking-sheet.html"),
              testing::StartsWith("<!doctype"));

  ASSERT_TRUE(retire_old_plan(folder.path()));
  EXPECT_FALSE(std::filesystem::exists(folder.path() / "plan.json"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "plan.previous.json"));
  EXPECT_TRUE(std::filesystem::exists(folder.path() / "stacking-sheet.previous.pdf"));

  // The last file can't be put in place: the others go again.
  std::filesystem::create_directories(folder.path() / "plan.json/in the way");
  const auto written = write_plan(folder.path(), c.pack, c.sheet, c.plan);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().code, ErrorCode::output_unwritable);
  for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
    EXPECT_TRUE(entry.path().filename() == "plan.json" ||
                entry.path().string().find(".previous.") != std::string::npos)
        << entry.path();
}

}  // namespace
}  // namespace plumbstack
