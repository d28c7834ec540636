// What the preview is made from: plan and result documents, test sheet, meter readings. All are
// read strictly.
#include "plumbstack/electrical_files.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "plan_fixture.hpp"
#include "plumbstack/plan_record.hpp"

namespace plumbstack {
namespace {

using Document = nlohmann::json;
using test::plan_pack;
using testing::HasSubstr;

template <typename T>
void expect_refused(const Result<T>& result, ErrorCode code, const std::string& words) {
  ASSERT_FALSE(result);
  EXPECT_EQ(result.error().code, code);
  EXPECT_EQ(result.error().where, "file");
  EXPECT_THAT(result.error().message, HasSubstr(words));
}

// Plan ---------------------------------------------------------------------------------------

struct PlanCase {
  Pack pack = plan_pack(4, 2);
  TestSheet sheet = test::sheet_by_lot(6, 3);
  Document json;
  PlanCase() { json = Document::parse(plan_json(pack, sheet, *make_plan(pack, sheet)).dump()); }
  Result<std::vector<PlannedModule>> read() const {
    return parse_planned_modules(json.dump(), "file", pack);
  }
};

TEST(PlannedModules, AreThoseOfThePlan) {
  const PlanCase c;
  const auto planned = c.read();
  ASSERT_TRUE(planned);
  ASSERT_EQ(planned->size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ((*planned)[i].serial, c.json["slots"][i]["serial"]);
    EXPECT_EQ((*planned)[i].number, 11 + static_cast<int>(i));
    EXPECT_NEAR(*(*planned)[i].voltage_v, c.json["slots"][i]["voltage_v"].get<double>(), 1e-9);
  }
}

TEST(PlannedModules, MayLackVoltagesAndHaveMoreKeys) {
  PlanCase c;
  c.json["later"] = 1;
  for (Document& slot : c.json["slots"])
    slot = {{"slot", slot["slot"]}, {"number", 1}, {"serial", slot["serial"]}};
  const auto planned = c.read();
  ASSERT_TRUE(planned);
  EXPECT_FALSE((*planned)[0].voltage_v);
}

TEST(PlannedModules, AnythingOddIsRefused) {
  const PlanCase good;
  PlanCase c = good;
  expect_refused(parse_planned_modules("{", "file", c.pack), ErrorCode::record_unreadable,
                 "is not JSON");
  expect_refused(parse_planned_modules("[]", "file", c.pack), ErrorCode::record_invalid,
                 "the document must be an object");
  c.json["schema"] = "plumbstack/plan/2";
  expect_refused(c.read(), ErrorCode::record_invalid,
                 "is of a newer version (plumbstack/plan/2); this program reads plumbstack/plan/1");
  c.json["schema"] = "plumbstack/result/1";
  expect_refused(c.read(), ErrorCode::record_invalid, "schema must be plumbstack/plan/1");
  c = good;
  c.json["pack"] = "long-34";
  expect_refused(c.read(), ErrorCode::record_invalid,
                 "is of the pack long-34, and the pack definition is of short");
  c = good;
  c.json["slots"].erase(3);
  expect_refused(c.read(), ErrorCode::record_invalid, "slots must be a list of 4 slots");
  c = good;
  c.json["slots"][2]["slot"] = 2;
  expect_refused(c.read(), ErrorCode::record_invalid, "slots.2.slot must be 3");
  c = good;
  c.json["slots"][2].erase("serial");
  expect_refused(c.read(), ErrorCode::record_invalid, "slots.2.serial is missing");
  c = good;
  c.json["slots"][1]["voltage_v"] = -7.8;
  expect_refused(c.read(), ErrorCode::record_invalid,
                 "slots.1.voltage_v must be a number from 0 to 100");
  c.json.erase("slots");
  expect_refused(c.read(), ErrorCode::record_invalid, "slots must be a list of 4 slots");
}

// Voltages -----------------------------------------------------------------------------------

TEST(VoltsOfModules, WithoutAPlanAreNominalAndUpToCharged) {
  const auto volts = volts_of_modules(plan_pack(4, 2), {}, nullptr, "", std::nullopt);
  ASSERT_TRUE(volts);
  ASSERT_EQ(volts->modules.size(), 4u);
  EXPECT_NEAR(volts->modules[0].v, 7.2, 1e-9);
  EXPECT_NEAR(volts->modules[0].span.low, 7.2, 1e-9);
  EXPECT_NEAR(volts->modules[0].span.high, 8.4, 1e-9);
  EXPECT_FALSE(volts->modules[0].measured);
  EXPECT_THAT(volts->assumptions[0], HasSubstr("nominal, 6 cells of 1.20 V"));
}

TEST(VoltsOfModules, MayHaveMovedByTwiceTheirStandardDeviation) {
  const std::vector<PlannedModule> planned{
      {1, "A", 7.8}, {2, "B", 7.9}, {3, "C", 8.0}, {4, "D", 7.9}};
  const auto volts = volts_of_modules(plan_pack(4, 2), planned, nullptr, "", std::nullopt);
  ASSERT_TRUE(volts);
  const double sd = std::sqrt(0.02 / 3);
  EXPECT_NEAR(volts->modules[2].span.low, 8.0 - 2 * sd, 1e-9);
  EXPECT_NEAR(volts->modules[2].span.high, 8.0 + 2 * sd, 1e-9);
  EXPECT_TRUE(volts->modules[2].measured);
  const auto told = volts_of_modules(plan_pack(4, 2), planned, nullptr, "", 0.005);
  EXPECT_NEAR(told->modules[2].span.high, 8.005, 1e-9);
  EXPECT_THAT(told->assumptions[1], HasSubstr("±5.0 mV since, as you said"));
}

TEST(VoltsOfModules, ComeFromTheSheetBySerialWhereThereIsOne) {
  const std::vector<PlannedModule> planned{{1, "D", 1}, {2, "C", 1}, {3, "B", 1}, {4, "A", 1}};
  TestSheet sheet = test::sheet_of({6, 6, 6, 6});
  for (std::size_t i = 0; i < 4; ++i)
    sheet.modules[i].voltage_v = 7.5 + 0.1 * static_cast<double>(i);
  const auto volts = volts_of_modules(plan_pack(4, 2), planned, &sheet, "file", std::nullopt);
  ASSERT_TRUE(volts);
  EXPECT_NEAR(volts->modules[0].v, 7.8, 1e-9);
  EXPECT_NEAR(volts->modules[3].v, 7.5, 1e-9);
  sheet.modules[1].serial = "X";
  expect_refused(volts_of_modules(plan_pack(4, 2), planned, &sheet, "file", std::nullopt),
                 ErrorCode::sheet_invalid, "has no module B, which the plan puts in slot 3");
}

TEST(VoltsOfModules, AreMixedWhereThePlanKnowsOnlySome) {
  const std::vector<PlannedModule> planned{
      {1, "A", 7.8}, {2, "B", std::nullopt}, {3, "C", 7.8}, {4, "D", 7.8}};
  const auto volts = volts_of_modules(plan_pack(4, 2), planned, nullptr, "", std::nullopt);
  EXPECT_FALSE(volts->modules[1].measured);
  EXPECT_NEAR(volts->modules[1].span.high, 8.4, 1e-9);
  EXPECT_THAT(volts->assumptions[0], HasSubstr("3 of 4 measured"));
  EXPECT_THAT(volts->assumptions[1], HasSubstr("from nominal to charged"));
}

// Result -------------------------------------------------------------------------------------

// Sides top (signs and vents) and terminal (signs); all seen as planned, with confidence 0.99.
struct ResultCase {
  Pack pack = plan_pack(4, 2);
  Document json;
  ResultCase() {
    Side terminal;
    terminal.name = "terminal";
    terminal.sign = SignRule{Sign::plus, std::nullopt, {}};
    pack.sides.push_back(terminal);
    json = {{"schema", "plumbstack/result/1"},
            {"pack", "short"},
            {"verdict", "pass"},
            {"trust_bar", {{"number", 0.95}, {"vent", 0.99}, {"sign", 0.98}}},
            {"findings", Document::array()},
            {"photos", Document::array()}};
    for (const Side& side : pack.sides) json["photos"].push_back(photo(side));
  }
  static Document photo(const Side& side) {
    Document slots = Document::array();
    for (int slot = 1; slot <= 4; ++slot) {
      Document one{{"slot", slot}, {"seen", true}};
      one["sign"] = {{"sign", name_of(*planned_sign(side, slot))}, {"confidence", 0.99}};
      if (side.vent)
        one["vent"] = {{"end", name_of(*planned_vent(side, slot))}, {"confidence", 0.995}};
      if (side.number) one["number"] = {{"text", std::to_string(10 + slot)}, {"confidence", 0.99}};
      slots.push_back(one);
    }
    return {{"file", side.name + ".jpg"},
            {"sha256", std::string(64, 'a')},
            {"side", side.name},
            {"verdict", "pass"},
            {"stack", {{"slot_1_at", "top"}, {"modules", 4}}},
            {"slots", slots}};
  }
  Document& at(std::size_t photo, int slot) {
    return json["photos"][photo]["slots"][static_cast<std::size_t>(slot - 1)];
  }
  void turn(std::size_t photo, int slot) {
    Document& sign = at(photo, slot)["sign"]["sign"];
    sign = sign == "+" ? "-" : "+";
  }
  void doubt(const std::string& code, const std::string& side, std::vector<int> slots) {
    Document finding{
        {"code", code}, {"severity", "retake"}, {"slots", slots}, {"message", "so it is"}};
    if (!side.empty()) finding["side"] = side;
    json["findings"].push_back(finding);
  }
  Result<SeenStack> read() const {
    const auto result = parse_check_result(json.dump(), "file", pack);
    if (!result) return tl::unexpected(result.error());
    return seen_stack(*result, "file", pack);
  }
  StackedModule slot(int slot) const {
    return (*read()).stacked[static_cast<std::size_t>(slot - 1)];
  }
};

TEST(SeenStack, AllAsPlanned) {
  const ResultCase c;
  const auto seen = c.read();
  ASSERT_TRUE(seen) << seen.error().message;
  for (int slot = 1; slot <= 4; ++slot) {
    EXPECT_EQ(c.slot(slot).way_round, WayRound::as_planned);
    EXPECT_EQ(c.slot(slot).home, slot);
  }
  EXPECT_THAT(seen->assumptions[0], HasSubstr("sides terminal, top"));
}

TEST(SeenStack, SignsOfBothSidesTheOtherWayRound) {
  ResultCase c;
  c.turn(0, 3);
  c.turn(1, 3);
  c.at(0, 3)["vent"]["end"] = "right";
  EXPECT_EQ(c.slot(3).way_round, WayRound::wrong);
  EXPECT_EQ(c.slot(2).way_round, WayRound::as_planned);
}

TEST(SeenStack, AnUnsureSignIsNotKnownHoweverLikelyItIs) {
  ResultCase c;
  c.at(0, 2)["sign"]["confidence"] = 0.9799;
  EXPECT_EQ(c.slot(2).way_round, WayRound::as_planned);  // the other side still tells
  c.at(1, 2)["sign"]["confidence"] = 0.9799;
  EXPECT_EQ(c.slot(2).way_round, WayRound::not_known);
  EXPECT_EQ(c.slot(2).why, "no sign was read with trust");
  c.at(1, 2)["sign"]["confidence"] = 0.98;  // at the bar it counts
  EXPECT_EQ(c.slot(2).way_round, WayRound::as_planned);
  c.json["trust_bar"]["sign"] = 0.995;  // the bar is the document's own
  EXPECT_EQ(c.slot(1).way_round, WayRound::not_known);
}

TEST(SeenStack, ASignThatWasNotSeenIsNotKnown) {
  ResultCase c;
  c.at(0, 2)["sign"]["sign"] = nullptr;
  c.at(1, 2) = {{"slot", 2}, {"seen", false}};
  EXPECT_EQ(c.slot(2).way_round, WayRound::not_known);
}

TEST(SeenStack, SidesThatContradictEachOtherSayNothing) {
  ResultCase c;
  c.turn(0, 3);
  EXPECT_EQ(c.slot(3).way_round, WayRound::not_known);
  EXPECT_EQ(c.slot(3).why, "signs on terminal and on top contradict each other");
}

TEST(SeenStack, AVentThatContradictsTheSignLeavesItNotKnown) {
  ResultCase c;
  c.at(0, 3)["vent"]["end"] = "right";
  EXPECT_EQ(c.slot(3).why, "sign and vent contradict each other");
  c.at(0, 3)["vent"]["confidence"] = 0.98;  // under its bar it contradicts nothing
  EXPECT_EQ(c.slot(3).way_round, WayRound::as_planned);
}

TEST(SeenStack, TheDocumentsOwnFindingsTakeTrustAway) {
  for (const char* code : {"sign.doubtful", "sign.unsure"}) {
    ResultCase c;
    c.turn(0, 2);
    c.at(1, 2)["sign"]["confidence"] = 0.5;
    c.at(0, 2)["vent"]["confidence"] = 0.5;
    EXPECT_EQ(c.slot(2).way_round, WayRound::wrong);
    c.doubt(code, "top", {2});
    EXPECT_EQ(c.slot(2).way_round, WayRound::not_known) << code;
    EXPECT_EQ(c.slot(1).way_round, WayRound::as_planned);
  }
  ResultCase c;
  c.doubt("sides.disagree", "", {4});
  EXPECT_EQ(c.slot(4).way_round, WayRound::not_known);
}

// Where it is not known which slot is which, or one may be missing, no sign of the photo counts.
TEST(SeenStack, APhotoWhoseSlotsCannotBeNamedSaysNothing) {
  const auto only_top = [](const auto& change) {
    ResultCase c;
    c.json["photos"].erase(1);
    change(c);
    std::set<WayRound> ways;
    for (int slot = 1; slot <= 4; ++slot) ways.insert(c.slot(slot).way_round);
    return ways;
  };
  const std::set<WayRound> none{WayRound::not_known}, all{WayRound::as_planned};
  EXPECT_EQ(only_top([](ResultCase&) {}), all);
  EXPECT_EQ(only_top([](ResultCase& c) { c.json["photos"][0]["stack"]["slot_1_at"] = nullptr; }),
            none);
  EXPECT_EQ(only_top([](ResultCase& c) { c.json["photos"][0]["stack"]["modules"] = 5; }), none);
  EXPECT_EQ(only_top([](ResultCase& c) { c.json["photos"][0].erase("stack"); }), none);
  for (const char* code : {"stack.direction", "count.short", "count.long", "count.unsure"})
    EXPECT_EQ(only_top([&](ResultCase& c) { c.doubt(code, "top", {}); }), none) << code;
  EXPECT_EQ(only_top([](ResultCase& c) { c.doubt("count.unsure", "terminal", {}); }), all);
}

TEST(SeenStack, NumbersTellWhichModuleStandsWhere) {
  ResultCase c;
  std::swap(c.at(0, 1)["number"], c.at(0, 3)["number"]);
  EXPECT_EQ(c.slot(1).home, 3);
  EXPECT_EQ(c.slot(3).home, 1);
  EXPECT_THAT(c.read()->assumptions[1], HasSubstr("slots 1 and 3"));
  c.at(0, 3)["number"]["confidence"] = 0.94;
  EXPECT_FALSE(c.slot(3).home);
  c.at(0, 2)["number"]["text"] = "13";  // as slot 1 has it: neither counts
  EXPECT_FALSE(c.slot(1).home);
  EXPECT_FALSE(c.slot(2).home);
  c.at(0, 4)["number"]["text"] = "99";
  EXPECT_FALSE(c.slot(4).home);
  c.at(0, 4)["number"]["text"] = nullptr;
  EXPECT_FALSE(c.slot(4).home);
}

TEST(SeenStack, AnythingOddIsRefused) {
  const ResultCase good;
  ResultCase c = good;
  expect_refused(parse_check_result("", "file", c.pack), ErrorCode::record_unreadable,
                 "is not JSON");
  c.json["schema"] = "plumbstack/result/3";
  expect_refused(c.read(), ErrorCode::record_invalid, "is of a newer version");
  c = good;
  c.json["pack"] = "long-34";
  expect_refused(c.read(), ErrorCode::record_invalid, "is of the pack long-34");
  c = good;
  c.json.erase("trust_bar");
  expect_refused(c.read(), ErrorCode::record_invalid, "trust_bar is missing");
  c = good;
  c.json["photos"][1]["side"] = "bottom";
  expect_refused(c.read(), ErrorCode::record_invalid,
                 "photos.1.side must be a side of short (bottom is none)");
  c = good;
  c.json["photos"][0]["slots"].erase(0);
  expect_refused(c.read(), ErrorCode::record_invalid, "photos.0.slots must be a list of 4 slots");
  c = good;
  c.at(0, 2)["sign"]["confidence"] = "high";
  expect_refused(c.read(), ErrorCode::record_invalid,
                 "photos.0.slots.1.sign.confidence must be a number from 0 to 1");
  c = good;
  c.at(0, 2)["sign"]["sign"] = "plus";
  expect_refused(c.read(), ErrorCode::record_invalid, "photos.0.slots.1.sign.sign must be + or -");
  c = good;
  c.json["findings"] = 3;
  expect_refused(c.read(), ErrorCode::record_invalid, "findings must be a list");
  c = good;
  c.json.erase("photos");
  expect_refused(c.read(), ErrorCode::record_invalid, "photos must be a list");
}

// Meter readings -----------------------------------------------------------------------------

Result<std::vector<MeterReading>> readings(const std::string& csv, int blocks = 3) {
  return parse_meter_readings(csv, "file", blocks);
}

TEST(MeterReadings, InAnyOrderWithOtherColumns) {
  const auto read = readings("note,voltage_v,block\n,-15.7,3\nlow,+14.4,1\n,open,2\n");
  ASSERT_TRUE(read) << read.error().message;
  EXPECT_EQ(*(*read)[0].v, 14.4);
  EXPECT_TRUE((*read)[1].open);
  EXPECT_FALSE((*read)[1].v);
  EXPECT_EQ(*(*read)[2].v, -15.7);  // a meter shows minus across a block that stands reversed
  const auto gap = readings("block,voltage_v\n1,15.7\n2,\n3,15.7\n");
  ASSERT_TRUE(gap);
  EXPECT_FALSE((*gap)[1].v);
  EXPECT_FALSE((*gap)[1].open);
}

TEST(MeterReadings, AnythingOddIsRefusedWithItsPlace) {
  const auto refused = [](const std::string& csv, const std::string& words) {
    expect_refused(readings(csv), ErrorCode::readings_invalid, words);
  };
  refused("block,volts\n1,15.7\n", "line 1: no column voltage_v");
  refused("voltage_v\n15.7\n", "line 1: no column block");
  refused("block;voltage_v\n1;15.7\n", "no column block");
  refused("block,voltage_v,block\n", "line 1, column 3 (block): is there twice");
  refused("block,voltage_v\n1,15.7\n3,15.7\n", "block 2 of 3 has no line; write one for each");
  refused("block,voltage_v\n1,15.7\n2,15.7\n3,15.7\n4,15.7\n",
          "line 5, column 1 (block): '4' is no block; this pack has blocks 1 to 3");
  refused("block,voltage_v\n1,15.7\n1,15.7\n", "line 3, column 1 (block): block 1 is there twice");
  refused("block,voltage_v\n1,15,7\n",
          "line 2, column 3: 3 values, but the first line names 2 "
          "columns; is a comma used as decimal point?");
  refused("block,voltage_v\n1,\"15,7\"\n",
          "line 2, column 2 (voltage_v): '15,7' has a comma; write a decimal point");
  refused("block,voltage_v\n1,15.7 V\n", "'15.7 V' is no number");
  refused("block,voltage_v\n1,nan\n", "is no number");
  refused("block,voltage_v\n1,1e9\n", "is outside -1500 to 1500 V");
  refused("block,voltage_v\nx,15.7\n", "'x' is no block");
  expect_refused(readings(""), ErrorCode::sheet_unreadable, "is empty");
  expect_refused(readings("block,voltage_v\n1,\"15"), ErrorCode::sheet_unreadable, "never closed");
}

}  // namespace
}  // namespace plumbstack
