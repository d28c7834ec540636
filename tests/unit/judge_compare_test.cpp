// Sides of one stack check each other.
#include <gmock/gmock.h>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::at;
using test::Stack;
using test::with_code;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

struct Sides : testing::Test {
  Pack pack = test::four_sides(6);
  std::vector<SideEvidence> photos = test::photos_of(pack, test::right_stack(6));
  SideEvidence& number() { return photos[0]; }
  SideEvidence& vent() { return photos[1]; }
  SideEvidence& a() { return photos[2]; }
  SideEvidence& b() { return photos[3]; }
  std::vector<Finding> disagree() const { return with_code(judge(pack, photos), "sides.disagree"); }
};

TEST_F(Sides, TurnedModuleShownByAllIsNoContradiction) {
  Stack stack = test::right_stack(6);
  stack[3].turned = true;
  photos = test::photos_of(pack, stack);
  EXPECT_THAT(disagree(), IsEmpty());
  EXPECT_EQ(judge(pack, photos).verdict, Verdict::fix);
}

TEST_F(Sides, SignsOfTwoSidesContradict) {
  at(a(), 2).sign.sign = other(*at(a(), 2).sign.sign);
  at(b(), 2).sign.confidence = 0;  // tells nothing
  const auto found = disagree();
  ASSERT_THAT(found, SizeIs(2));  // with the numbers, and with vent and sign of the vent side
  EXPECT_EQ(found[0].message, "sides number and a contradict each other on slot 2");
  EXPECT_EQ(found[1].message, "sides vent and a contradict each other on slot 2");
  EXPECT_EQ(found[1].severity, Severity::retake);
  EXPECT_EQ(found[1].side, "");
  EXPECT_THAT(found[1].slots, ElementsAre(2));
}

TEST_F(Sides, ContradictionAloneIsARetake) {
  // Two sides with numbers that are both in order for themselves can't differ in a number; so let
  // the fault that shows it be out of the way: two stacks, each wrong alone, never pass together.
  Stack another = test::right_stack(6);
  another[1].turned = another[2].turned = true;
  photos[1] = test::photo_of(pack, "vent", another);
  const Judgement judgement = judge(pack, photos);
  EXPECT_EQ(judgement.verdict, Verdict::fix);
  EXPECT_THAT(disagree(), SizeIs(3));
  for (const Finding& f : disagree()) EXPECT_THAT(f.slots, ElementsAre(2, 3));
}

TEST_F(Sides, ModuleMovedByAnOddNumberOfSlotsIsNoContradiction) {
  // Moved without a turn: numbers upright, vents wrong. Physically one and the same stack.
  Stack stack = test::right_stack(6);
  std::swap(stack[2], stack[3]);
  photos = test::photos_of(pack, stack);
  EXPECT_THAT(disagree(), IsEmpty());
  // Moved with a turn: numbers upside down, vents right.
  stack[2].turned = stack[3].turned = true;
  photos = test::photos_of(pack, stack);
  EXPECT_THAT(disagree(), IsEmpty());
}

TEST_F(Sides, TurnedNumberAgainstVentsOnAModuleMovedEven) {
  Stack stack = test::right_stack(6);
  std::swap(stack[1], stack[3]);
  photos = test::photos_of(pack, stack);
  EXPECT_THAT(disagree(), IsEmpty());
  at(number(), 2).number.rotation_deg = 0, at(number(), 2).number.end = End::left;
  EXPECT_THAT(disagree(), SizeIs(3));
}

TEST_F(Sides, NumbersOfTwoSidesDiffer) {
  pack.sides.push_back(test::numbers_side("back"));
  pack.sides.back().number->first = 101;  // the same module may have another number there
  photos = test::photos_of(pack, test::right_stack(6));
  EXPECT_EQ(judge(pack, photos).verdict, Verdict::pass);
  at(photos[4], 5).number.text = "106";
  ASSERT_THAT(disagree(), SizeIs(1));
  EXPECT_EQ(disagree()[0].message, "sides number and back contradict each other on slot 5");
  at(photos[4], 5).number.confidence = 0;
  EXPECT_THAT(disagree(), IsEmpty());
}

TEST_F(Sides, OneMarkOfASideIsEnoughToContradict) {
  at(vent(), 4).vent.end = other(*at(vent(), 4).vent.end);  // its own sign says otherwise
  EXPECT_THAT(disagree(), SizeIs(3));
}

TEST_F(Sides, UnseenUnsureAndUnnamedSlotsAreNotCompared) {
  for (SideEvidence* photo : {&vent(), &a()})
    at(*photo, 4).sign.sign = other(*at(*photo, 4).sign.sign);
  at(vent(), 4).seen = false;
  at(a(), 4).sign.confidence = 0.5;
  EXPECT_THAT(disagree(), IsEmpty());
  at(a(), 4).sign.confidence = 1;
  EXPECT_THAT(disagree(), SizeIs(2));
  a().slot_1_at.reset();
  EXPECT_THAT(disagree(), IsEmpty());
  a().slot_1_at = Edge::top, a().modules_counted = 7;
  EXPECT_THAT(disagree(), IsEmpty());
}

}  // namespace
}  // namespace plumbstack
