#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "check_fixture.hpp"
#include "plumbstack/record.hpp"
#include "report_parts.hpp"

namespace plumbstack::test {
namespace {

using testing::HasSubstr;
using testing::Not;

std::size_t times(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    ++count;
  return count;
}

class Report : public testing::Test {
 protected:
  const Pack pack = fixture_pack();
  std::string html(const Check& check) const {
    return report_html(pack, check,
                       std::vector<cv::Mat>(check.photos.size(), cv::Mat(40, 60, CV_8UC3)));
  }
};

TEST_F(Report, ComesInTheOrderInWhichItIsNeeded) {
  const std::string page = html(swapped_check(pack));
  const std::size_t body = page.find("<body>");
  std::size_t last = body;
  for (const char* part : {"<b>FIX</b>", "Caution: high voltage", "What to do",
                           "Put the module in slot 2 into slot 5, turned.", "number.order",
                           "<figure>", "as planned", "Slot by slot", "SHA-256", "plumbstack 0."}) {
    const std::size_t at = page.find(part, body);
    ASSERT_NE(at, std::string::npos) << part;
    EXPECT_GT(at, last) << part;
    last = at;
  }
}

TEST_F(Report, NeedsNothingFromOutside) {
  const std::string page = html(swapped_check(pack));
  EXPECT_EQ(times(page, "src=\"data:image/jpeg;base64,"), 2u);
  EXPECT_EQ(times(page, "src="), 2u);
  for (const char* outside : {"http:", "https:", "<link", "<script", "@import", "url("})
    EXPECT_THAT(page, Not(HasSubstr(outside)));
}

TEST_F(Report, EscapesEveryTextItIsGiven) {
  Pack hostile = pack;
  hostile.name = "<b>pack</b>";
  hostile.id = "id<i>&\"'";
  Check check = swapped_check(pack);
  check.photos[0].photo.file = "x/<img src=x onerror=alert(1)>.jpg";
  check.photos[0].photo.taken_at = "<u>now</u>";
  slot_of(check, 0, 2).number.text = "<s>5";
  check.judgement.findings[0].message = "<em>m";
  check.judgement.findings[0].action = "<em>a";
  check.judgement.findings[0].code = "<em>.c";
  check.judgement.repair[0].text = "<em>r";
  check.judgement.missing_sides = {"<em>s"};
  const std::string page = report_html(hostile, check, {});
  for (const char* raw : {"<img src=x", "<u>", "<s>", "<em>", "<b>pack", "id<i>"})
    EXPECT_THAT(page, Not(HasSubstr(raw)));
  EXPECT_THAT(page, HasSubstr("&lt;img src=x onerror=alert(1)&gt;.jpg"));
  EXPECT_THAT(page, HasSubstr("id&lt;i&gt;&amp;&quot;&#39;"));
}

TEST_F(Report, StatesTheChargedVoltageAndItsDanger) {
  // 6 modules of 6 cells at 1.4 V: no high voltage by UN ECE R100 (over 60 V DC), 8 of them are.
  const std::string low = html(good_check(pack));
  EXPECT_THAT(low, HasSubstr("about 50 V DC. A tool or a ring across its terminals still burns"));
  Pack longer = pack;
  longer.modules = 8;
  EXPECT_THAT(report_html(longer, good_check(pack), {}),
              HasSubstr("about 67 V DC. That kills, also out of the vehicle."));
  Pack bare = pack;
  bare.electrical.reset();
  const std::string page = report_html(bare, good_check(pack), {});
  EXPECT_THAT(page, HasSubstr("a voltage that kills"));
}

TEST_F(Report, SaysThatARetakeIsNoPassAndAsksForTheMissingSide) {
  const std::string page = html(stackless_check(pack));
  EXPECT_THAT(page, HasSubstr("<b>RETAKE</b>"));
  EXPECT_THAT(page, HasSubstr("This is not a pass"));
  EXPECT_THAT(page, HasSubstr("Photograph side vent"));
  EXPECT_THAT(page, Not(HasSubstr("<b>PASS</b>")));
  EXPECT_THAT(page, Not(HasSubstr("no fault was found")));
}

TEST_F(Report, HasNothingToDoAfterAPass) {
  const std::string page = html(good_check(pack));
  EXPECT_THAT(page, HasSubstr("no fault was found"));
  EXPECT_EQ(times(page, "<b>PASS</b>"), 3u);  // the stack and both sides
}

TEST_F(Report, DrawsDifferencesInTheLadderByShape) {
  Check check = swapped_check(pack);
  check.judgement.findings.push_back(
      {"number.unsure", Severity::retake, "number", {4}, "slot 4 can't be read", "clean it"});
  slot_of(check, 0, 6) = {};
  const std::string ladder = ladder_svg(pack, check, 0);
  EXPECT_EQ(times(ladder, "class=\"wrong\""), 2u);
  EXPECT_EQ(times(ladder, "class=\"unsure\""), 2u);  // slot 4, and 6 which was not seen
  EXPECT_EQ(times(ladder, "class=\"good\""), 8u);    // six planned, two seen
  EXPECT_EQ(times(ladder, "class=\"x\""), 2u);
  EXPECT_THAT(ladder, HasSubstr("reads 5"));
  EXPECT_THAT(ladder, HasSubstr("not seen"));
}

TEST_F(Report, DrawsVentAndSignWhereTheyAre) {
  Check check = good_check(pack);
  const std::string good = ladder_svg(pack, check, 1);
  EXPECT_EQ(times(good, "r=\"6\""), 12u);  // vents, planned and seen
  EXPECT_EQ(times(good, ">+</text>"), 6u);
  slot_of(check, 1, 1).vent.end = End::right;
  slot_of(check, 1, 2).sign.confidence = 0.3;
  const std::string other = ladder_svg(pack, check, 1);
  EXPECT_NE(other, good);
  EXPECT_EQ(times(other, ">?</text>"), 1u);
}

TEST_F(Report, HasNoLadderWithoutSlots) {
  EXPECT_EQ(ladder_svg(pack, stackless_check(pack), 0), "");
  EXPECT_EQ(slot_table(pack, stackless_check(pack), 0), "");
}

TEST_F(Report, ListsEachSlotWithItsConfidence) {
  Check check = good_check(pack);
  slot_of(check, 0, 2).number.confidence = 0.5;
  const std::string table = slot_table(pack, check, 0);
  EXPECT_EQ(times(table, "<tr>"), 7u);  // heading and six slots
  EXPECT_THAT(table, HasSubstr("<b>1</b> <small>99.9&nbsp;%</small>"));
  EXPECT_THAT(table, HasSubstr("<b>2?</b> <small>50.0&nbsp;%</small>"));
  EXPECT_THAT(table, HasSubstr("0.12 <small>&plusmn;&nbsp;0.08</small>"));
}

// RFC 4648, section 10.
TEST(Base64, GivesThePublishedVectors) {
  const std::pair<std::string, std::string> vectors[] = {{"", ""},
                                                         {"f", "Zg=="},
                                                         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},
                                                         {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="},
                                                         {"foobar", "Zm9vYmFy"}};
  for (const auto& [text, code] : vectors) EXPECT_EQ(base64(text), code);
}

}  // namespace
}  // namespace plumbstack::test
