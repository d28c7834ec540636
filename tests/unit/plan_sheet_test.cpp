// The test sheet: what is read, and that everything odd is told with its line and column.
#include <gmock/gmock.h>

#include "files.hpp"
#include "plumbstack/base/csv.hpp"
#include "plumbstack/test_sheet.hpp"

namespace plumbstack {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

const std::string kTitles = "serial,capacity_ah,voltage_v,resistance_mohm,leak_test\n";

std::string refusal(const std::string& csv, const SheetUnits& units = {}) {
  const auto sheet = parse_test_sheet(csv, "sheet.csv", units);
  if (sheet) return "taken";
  EXPECT_EQ(sheet.error().where, "sheet.csv");
  EXPECT_EQ(exit_code_of(sheet.error().code), ExitCode::bad_input);
  return sheet.error().message;
}

TEST(TestSheet, EveryFigureArrives) {
  const auto sheet =
      parse_test_sheet(kTitles + "FL-1,6.41,7.85,18.2,pass\nFL-2,6.4,7.9,18,Leaks\n", "");
  ASSERT_TRUE(sheet) << sheet.error().message;
  ASSERT_EQ(sheet->modules.size(), 2u);
  const TestedModule& first = sheet->modules[0];
  EXPECT_EQ(first.serial, "FL-1");
  EXPECT_EQ(first.capacity_ah, 6.41);
  EXPECT_EQ(first.voltage_v, 7.85);
  EXPECT_EQ(first.resistance_mohm, 18.2);
  EXPECT_EQ(first.leak, LeakTest::passed);
  EXPECT_EQ(first.line, 2);
  EXPECT_EQ(sheet->modules[1].leak, LeakTest::failed);
}

TEST(TestSheet, UnitsOfTheTitles) {
  for (const char* titles :
       {"serial,capacity_mah,voltage_mv,resistance_ohm",
        "Serial number,Capacity (mAh),Open-circuit voltage [mV],Internal resistance in Ω",
        "SERIAL NO.,capacity mAh,OCV/mV,IR (ohm)"}) {
    const auto sheet = parse_test_sheet(std::string(titles) + "\nA,6410,7850,0.0182\n", "");
    ASSERT_TRUE(sheet) << titles << ": " << sheet.error().message;
    EXPECT_NEAR(sheet->modules[0].capacity_ah, 6.41, 1e-12);
    EXPECT_NEAR(sheet->modules[0].voltage_v, 7.85, 1e-12);
    EXPECT_NEAR(sheet->modules[0].resistance_mohm, 18.2, 1e-12);
    EXPECT_EQ(sheet->modules[0].leak, LeakTest::not_listed);
  }
}

TEST(TestSheet, UnitsOfTheOptions) {
  const std::string bare = "serial,capacity,voltage,resistance\nA,6410,7.85,18.2\n";
  const auto sheet = parse_test_sheet(bare, "", {"mah", "v", "mohm"});
  ASSERT_TRUE(sheet) << sheet.error().message;
  EXPECT_NEAR(sheet->modules[0].capacity_ah, 6.41, 1e-12);
  EXPECT_THAT(refusal(bare), HasSubstr("line 1, column 2: 'capacity' names no unit"));
  EXPECT_THAT(refusal(kTitles + "A,6.4,7.9,18,pass\n", {"mah", "", ""}),
              HasSubstr("line 1, column 2: the title says Ah and the option mAh"));
}

TEST(TestSheet, MarksAndLineEndsOfSpreadsheets) {
  const auto sheet = parse_test_sheet(
      "\xef\xbb\xbf\"serial\",capacity_ah,voltage_v,resistance_mohm,\"shelf, row\"\r\n"
      "\r\n"
      " \"A \"\"one\"\"\" , 6.4 ,7.9,18,\"3, b\"\r\n"
      ",,,,\r\n"
      "B,6.5,7.9,18,\r\n",
      "");
  ASSERT_TRUE(sheet) << sheet.error().message;
  ASSERT_EQ(sheet->modules.size(), 2u);
  EXPECT_EQ(sheet->modules[0].serial, "A \"one\"");
  EXPECT_EQ(sheet->modules[0].line, 3);
  EXPECT_THAT(sheet->other_columns, ElementsAre("shelf, row"));
  EXPECT_THAT(sheet->modules[0].others, ElementsAre("3, b"));
  EXPECT_THAT(sheet->modules[1].others, ElementsAre(""));
}

struct Slip {
  const char* row;   // the third line
  const char* says;  // what the message holds
};

const Slip kSlips[] = {
    {"B,\"6,4\",7.9,18,pass", "line 3, column 2 (capacity_ah): '6,4' has a comma; write a decimal"},
    {"B,6,4,7.9,18,pass", "line 3, column 6: 6 values, but the first line names 5 columns; is a c"},
    {"B,6.4,7.9,18", "line 3, column 5: 4 values, but the first line names 5 columns"},
    {"B,6.4,7.9,-18,pass", "line 3, column 4 (resistance_mohm): '-18' is negative"},
    {"B,-6.4,7.9,18,pass", "line 3, column 2 (capacity_ah): '-6.4' is negative"},
    {"B,nan,7.9,18,pass", "line 3, column 2 (capacity_ah): 'nan' is no number"},
    {"B,6.4,inf,18,pass", "line 3, column 3 (voltage_v): 'inf' is no number"},
    {"B,6.4,1e999,18,pass", "line 3, column 3 (voltage_v): '1e999' is no number"},
    {"B,6.4 Ah,7.9,18,pass", "line 3, column 2 (capacity_ah): '6.4 Ah' is no number"},
    {"B,0x6,7.9,18,pass", "line 3, column 2 (capacity_ah): '0x6' is no number"},
    {"B,,7.9,18,pass", "line 3, column 2 (capacity_ah): is empty"},
    {"B,6400,7.9,18,pass", "line 3, column 2 (capacity_ah): '6400' Ah is outside 0 to 1000 Ah"},
    {"B,6.4,7900,18,pass", "line 3, column 3 (voltage_v): '7900' V is outside 0 to 100 V"},
    {"B,6.4,7.9,0,pass", "line 3, column 4 (resistance_mohm): '0' mΩ is outside 0.01 to 10000"},
    {"B,6.4,7.9,18,maybe",
     "line 3, column 5 (leak_test): 'maybe' is not known; write pass or fail"},
    {"A,6.4,7.9,18,pass", "line 3, column 1 (serial): 'A' is there twice, first in line 2"},
    {",6.4,7.9,18,pass", "line 3, column 1 (serial): is empty"},
    {"\"B,6.4,7.9,18,pass", "line 3, column 1: a quote is opened here and never closed"},
    {"B\"x\",6.4,7.9,18,pass", "line 3, column 1: a quote inside a value"},
    {"\"B\"x,6.4,7.9,18,pass", "line 3, column 1: text after a closing quote"},
    {"\"B\nC\",6.4,7.9,18,pass", "line 3, column 1: holds a control character or a line break"},
    {"B,6.4,7.9,18,pass\rC", "line 3, column 5: a carriage return without a line feed"},
    {"B\xff,6.4,7.9,18,pass", "line 3, column 1: is not UTF-8"},
    {"B\xc0\xaf,6.4,7.9,18,pass", "line 3, column 1: is not UTF-8"},
    {"B\xed\xa0\x80,6.4,7.9,18,pass", "line 3, column 1: is not UTF-8"},
    {"B\x01,6.4,7.9,18,pass", "line 3, column 1: holds a control character"},
};

class SheetSlip : public testing::TestWithParam<Slip> {};

TEST_P(SheetSlip, IsToldWithLineAndColumn) {
  const std::string good = kTitles + "A,6.4,7.9,18,pass\n";
  EXPECT_EQ(refusal(good), "taken");
  EXPECT_THAT(refusal(good + GetParam().row + "\n"), HasSubstr(GetParam().says));
}

INSTANTIATE_TEST_SUITE_P(All, SheetSlip, testing::ValuesIn(kSlips));

TEST(TestSheet, TitlesThatAreMissingOrOdd) {
  EXPECT_THAT(refusal("serial,capacity_ah,voltage_v\nA,6,7\n"),
              HasSubstr("line 1: no column for the resistance; write resistance_mohm or"));
  EXPECT_THAT(refusal("serial,capacity_kwh,voltage_v,resistance_mohm\nA,6,7,8\n"),
              HasSubstr("no column for the capacity; write capacity_ah or capacity_mah; "
                        "'capacity_kwh' in column 2 has another name or unit"));
  EXPECT_THAT(refusal("serial;capacity_ah;voltage_v;resistance_mohm\nA;6;7;8\n"),
              HasSubstr("columns are parted by commas, not semicolons"));
  EXPECT_THAT(refusal("serial,serial,capacity_ah,voltage_v,resistance_mohm\nA,A,6,7,8\n"),
              HasSubstr("line 1, column 2: 'serial' is there twice"));
  EXPECT_THAT(refusal("serial,capacity_ah,capacity_mah,voltage_v,resistance_mohm\nA,6,6,7,8\n"),
              HasSubstr("line 1, column 3: 'capacity_mah' is a second column for the capacity"));
  EXPECT_THAT(refusal("serial,capacity_ah,voltage_v,resistance_mohm,\nA,6,7,8,\n"),
              HasSubstr("line 1, column 5: this column has no name"));
}

TEST(TestSheet, AUnitThatWouldLeaveTheModulesEmpty) {
  EXPECT_THAT(refusal("serial,capacity_mah,voltage_v,resistance_mohm\nA,6.4,7.9,18\n"),
              HasSubstr("column 2 (capacity_mah): taken in mAh, most modules would be empty"));
  EXPECT_THAT(refusal("serial,capacity_ah,voltage_mv,resistance_mohm\nA,6.4,7.9,18\n"),
              HasSubstr("column 3 (voltage_mv): taken in mV, most modules would be empty"));
}

TEST(TestSheet, FilesThatAreNone) {
  EXPECT_THAT(refusal(""), HasSubstr("is empty"));
  EXPECT_THAT(refusal("\n\r\n,,,\n"), HasSubstr("is empty"));
  EXPECT_THAT(refusal(kTitles), HasSubstr("line 2: no module is listed"));
  EXPECT_THAT(refusal("\xff\xfes\0e\0"), HasSubstr("is UTF-16"));
  std::string many = kTitles;
  for (int i = 0; i < 1001; ++i) many += "S" + std::to_string(i) + ",6.4,7.9,18,pass\n";
  EXPECT_THAT(refusal(many), HasSubstr("line 1002: more than 1000 modules"));
  const test::ScratchFolder folder;
  for (const auto& file : {folder.path() / "none.csv", folder.path(),
                           folder.write("long.csv", std::string(2 << 20, 'x'))}) {
    const auto sheet = load_test_sheet(file);
    ASSERT_FALSE(sheet);
    EXPECT_EQ(sheet.error().code, ErrorCode::sheet_unreadable);
    EXPECT_EQ(sheet.error().where, file.string());
  }
}

// A sheet cut anywhere is either told or whole up to a row's end: never a figure cut short
// unseen... except where the cut falls into the last figure itself, which no reader can know.
TEST(TestSheet, CutAtEveryLengthNothingBreaks) {
  const std::string whole = kTitles + "\"A\",6.4,7.9,18,pass\r\nB,6.5,7.9,18.5,pass\r\n";
  for (std::size_t size = 0; size < whole.size(); ++size) {
    const auto sheet = parse_test_sheet(whole.substr(0, size), "");
    if (!sheet) continue;
    EXPECT_GE(size, whole.find("pass\r\n")) << size;
  }
}

}  // namespace
}  // namespace plumbstack
