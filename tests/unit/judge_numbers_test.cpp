// Numbers: order, doubles, strangers, blanks, ends and turns, and what counts as read.
#include <gmock/gmock.h>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::at;
using test::Stack;
using test::with_code;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

// The number side alone of a pack of nine.
struct NumberSide : testing::Test {
  Pack pack = [] {
    Pack p = test::four_sides(9);
    p.required_sides = {"number"};
    return p;
  }();
  SideEvidence photo = test::photo_of(pack, "number", test::right_stack(9));
  Judgement judged() const { return judge(pack, {photo}); }
  Finding only(const std::string& code) const {
    const auto found = with_code(judged(), code);
    EXPECT_THAT(found, SizeIs(1)) << code;
    return found.empty() ? Finding{} : found[0];
  }
};

TEST_F(NumberSide, RightPasses) {
  EXPECT_EQ(judged().verdict, Verdict::pass);
  EXPECT_THAT(judged().findings, IsEmpty());
}

TEST_F(NumberSide, SwappedModulesAreNamedWithWhatTheyRead) {
  at(photo, 7).number.text = "9";
  at(photo, 9).number.text = "7";
  const Finding order = only("number.order");
  EXPECT_EQ(order.severity, Severity::fix);
  EXPECT_EQ(order.side, "number");
  EXPECT_THAT(order.slots, ElementsAre(7, 9));
  EXPECT_EQ(order.message, "slot 7 reads 9 and slot 9 reads 7");
  EXPECT_EQ(order.action, "swap the modules in slots 7 and 9, the same way round");
  EXPECT_EQ(judged().verdict, Verdict::fix);
}

TEST_F(NumberSide, DoubleIsNamedOnBothAndOrderOnTheWrongOne) {
  at(photo, 4).number.text = "2";
  EXPECT_THAT(only("number.duplicate").slots, ElementsAre(2, 4));
  EXPECT_EQ(only("number.duplicate").message, "slots 2 and 4 both read 2");
  EXPECT_THAT(only("number.order").slots, ElementsAre(4));
  EXPECT_THAT(judged().repair, IsEmpty());  // which of them is module 2 is not known
}

TEST_F(NumberSide, DoublesOfStrangersAreDoublesToo) {
  at(photo, 4).number.text = at(photo, 5).number.text = at(photo, 6).number.text = "77";
  EXPECT_EQ(only("number.duplicate").message, "slots 4 to 6 all read 77");
  EXPECT_THAT(with_code(judged(), "number.foreign"), SizeIs(3));
}

TEST_F(NumberSide, StrangersAreOutOfRangeOrNoNumber) {
  for (const char* text :
       {"0", "10", "77", "1234567", "99999999999999999999", "B7", "-1", "", "1 2"}) {
    at(photo, 4).number.text = text;
    const Finding foreign = only("number.foreign");
    EXPECT_THAT(foreign.slots, ElementsAre(4)) << text;
    EXPECT_THAT(foreign.message, HasSubstr("this pack has 1 to 9"));
    EXPECT_THAT(with_code(judged(), "number.order"), IsEmpty()) << text;
  }
}

TEST_F(NumberSide, FirstNumberCounts) {
  pack.sides[0].number->first = 101;
  photo = test::photo_of(pack, "number", test::right_stack(9));
  EXPECT_EQ(at(photo, 1).number.text, "101");
  EXPECT_EQ(judged().verdict, Verdict::pass);
  at(photo, 2).number.text = "2";
  EXPECT_THAT(only("number.foreign").message, HasSubstr("this pack has 101 to 109"));
}

TEST_F(NumberSide, LeadingZeroIsTheSameNumber) {
  at(photo, 4).number.text = "04";
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(NumberSide, BlankIsMissingOnlyWhereThePlaceIsSeen) {
  at(photo, 4).number.text.reset();
  EXPECT_EQ(only("number.missing").severity, Severity::fix);
  EXPECT_EQ(judged().verdict, Verdict::fix);
  at(photo, 4).number.place_seen = false;
  EXPECT_THAT(with_code(judged(), "number.missing"), IsEmpty());
  EXPECT_EQ(only("number.unsure").severity, Severity::retake);
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(NumberSide, UnsureIsOneFindingAndNeverJudged) {
  for (int slot : {3, 5}) {
    at(photo, slot).number.text = "8";  // wrong, double, upside down: but not trusted
    at(photo, slot).number.confidence = 0.9499;
    at(photo, slot).number.rotation_deg = 0;
    at(photo, slot).number.end = End::left;
  }
  EXPECT_THAT(only("number.unsure").slots, ElementsAre(3, 5));
  EXPECT_THAT(judged().findings, SizeIs(1));
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(NumberSide, AContradictionShortOfAFaultIsDoubtfulAndNeverPlannedWith) {
  at(photo, 3).number.text = "5";
  at(photo, 5).number.rotation_deg = 0;
  for (int slot : {3, 5}) at(photo, slot).number.confidence = 0.9949;
  EXPECT_THAT(only("number.doubtful").slots, ElementsAre(3, 5));
  EXPECT_THAT(judged().findings, SizeIs(1));
  EXPECT_EQ(judged().verdict, Verdict::retake);
  EXPECT_THAT(judged().repair, IsEmpty());
  for (int slot : {3, 5}) at(photo, slot).number.confidence = 0.995;
  EXPECT_EQ(judged().verdict, Verdict::fix);
}

TEST_F(NumberSide, TheBarItselfIsTrusted) {
  at(photo, 3).number.confidence = TrustBar{}.number;
  EXPECT_EQ(judged().verdict, Verdict::pass);
  TrustBar higher;
  higher.number = 0.999;
  EXPECT_EQ(judge(pack, {photo}, higher).verdict, Verdict::retake);
  at(photo, 3).number.confidence = std::nan("");
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(NumberSide, OtherEndAlone) {
  at(photo, 6).number.end = End::left;
  EXPECT_THAT(only("number.end").slots, ElementsAre(6));
  // End and turn do not fit a turned module: the writing is wrong, so nothing is turned.
  EXPECT_THAT(only("number.end").action, HasSubstr("write the number anew on slot 6"));
  EXPECT_THAT(judged().repair, IsEmpty());
}

TEST_F(NumberSide, NearTheMiddleIsNeverAtTheOtherEnd) {
  at(photo, 6).number.end.reset();
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(NumberSide, AnyEndIsAllowedWhereThePackSaysAny) {
  pack.sides[0].number->end.reset();
  at(photo, 6).number.end = End::left;
  EXPECT_EQ(judged().verdict, Verdict::pass);
  at(photo, 6).number.rotation_deg = 0;
  EXPECT_THAT(only("number.rotation").slots, ElementsAre(6));
}

TEST_F(NumberSide, EveryOtherQuarterTurnIsFound) {
  for (int turn : {0, 90, 270}) {
    at(photo, 6).number.rotation_deg = turn;
    EXPECT_THAT(only("number.rotation").slots, ElementsAre(6)) << turn;
    EXPECT_EQ(judged().verdict, Verdict::fix);
  }
}

TEST_F(NumberSide, TurnedModuleShowsEndAndTurn) {
  Stack stack = test::right_stack(9);
  stack[5].turned = true;
  photo = test::photo_of(pack, "number", stack);
  EXPECT_THAT(only("number.end").slots, ElementsAre(6));
  EXPECT_EQ(only("number.rotation").action, "turn the module in slot 6 end for end");
  EXPECT_THAT(judged().findings, SizeIs(2));
}

TEST_F(NumberSide, OtherMarksAreNotJudgedWhereTheSideListsNone) {
  for (SlotMarks& slot : photo.marks.slots) slot.vent.end = End::left, slot.vent.confidence = 1;
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

}  // namespace
}  // namespace plumbstack
