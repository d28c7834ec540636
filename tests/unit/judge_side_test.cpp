// One side as a whole, and the verdict over all sides: count, direction, what was not seen, what is
// not there.
#include <gmock/gmock.h>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::at;
using test::with_code;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

struct OneSide : testing::Test {
  Pack pack = test::one_side(6);
  SideEvidence photo = test::photo_of(pack, "top", test::right_stack(6));
  Judgement judged() const { return judge(pack, {photo}); }
  Finding only() const {
    EXPECT_THAT(judged().findings, SizeIs(1));
    return judged().findings.empty() ? Finding{} : judged().findings[0];
  }
  void capture(const char* code, Severity severity, std::vector<int> slots) {
    photo.capture_findings.push_back({code, severity, "top", std::move(slots), "seen so", "do so"});
  }
};

TEST_F(OneSide, NoStackIsARetakeAndNothingElseIsSaid) {
  photo.stack_found = false;
  EXPECT_EQ(only().code, "photo.no_stack");
  EXPECT_EQ(judged().verdict, Verdict::retake);
  capture("photo.no_stack", Severity::retake, {});
  EXPECT_EQ(only().message, "seen so");  // already said
}

TEST_F(OneSide, NoStackIsSaidBesideWhatTheCaptureSays) {
  photo.stack_found = false;
  capture("photo.dark", Severity::retake, {});
  EXPECT_THAT(judged().findings, SizeIs(2));
}

TEST_F(OneSide, CountThatDoesNotFitStopsTheJudgingOfSlots) {
  for (int counted : {5, 7}) {
    photo = test::photo_of(pack, "top", test::right_stack(counted));
    at(photo, 2).number.text = "5";
    EXPECT_EQ(only().code, counted < 6 ? "count.short" : "count.long");
    EXPECT_EQ(only().severity, Severity::fix);
    EXPECT_THAT(only().slots, IsEmpty());
    EXPECT_EQ(only().message, std::to_string(counted) + " modules seen, this pack has 6");
    EXPECT_THAT(judged().repair, IsEmpty());
  }
}

TEST_F(OneSide, CountDecidesEvenWithMarksForEverySlot) {
  photo.modules_counted = 7;
  at(photo, 2).number.text = "5";
  EXPECT_EQ(only().code, "count.long");
}

TEST_F(OneSide, UnsureCountIsARetakeWhetherItFitsOrNot) {
  photo.count_sure = false;
  EXPECT_EQ(only().code, "count.unsure");
  EXPECT_EQ(judged().verdict, Verdict::retake);
  photo.modules_counted = 5, photo.marks.slots.clear();
  EXPECT_EQ(only().code, "count.unsure");
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(OneSide, UnknownDirectionIsARetakeAndLaysNoMarkToASlot) {
  photo.slot_1_at.reset();
  at(photo, 2).vent.end = other(*at(photo, 2).vent.end);
  std::vector<std::string> codes;
  for (const Finding& f : judged().findings) {
    codes.push_back(f.code);
    EXPECT_EQ(f.severity, Severity::retake);
    if (f.code != "stack.direction") {
      EXPECT_THAT(f.slots, ElementsAre(1, 2, 3, 4, 5, 6));
    }
  }
  EXPECT_THAT(codes, testing::UnorderedElementsAre("stack.direction", "number.unsure",
                                                   "vent.unsure", "sign.unsure"));
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(OneSide, ReversedOnlyWhereThePackMustStand) {
  for (Edge edge : {Edge::bottom, Edge::left, Edge::right}) {
    photo.slot_1_at = edge;
    pack.slot_1_up = false;
    EXPECT_EQ(judged().verdict, Verdict::pass);
    pack.slot_1_up = true;
    EXPECT_EQ(only().code, "stack.reversed");
    EXPECT_EQ(only().severity, Severity::fix);
  }
  photo.slot_1_at = Edge::top;
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(OneSide, UnseenSlotsAreCoveredAndNeverPass) {
  at(photo, 2).seen = at(photo, 5).seen = false;
  EXPECT_EQ(only().code, "photo.covered");
  EXPECT_EQ(only().severity, Severity::retake);
  EXPECT_THAT(only().slots, ElementsAre(2, 5));
}

TEST_F(OneSide, UnseenSlotsThatTheCaptureNamesAreNotNamedTwice) {
  at(photo, 2).seen = at(photo, 5).seen = false;
  capture("photo.cropped", Severity::retake, {5});
  ASSERT_THAT(judged().findings, SizeIs(2));
  EXPECT_THAT(with_code(judged(), "photo.covered")[0].slots, ElementsAre(2));
}

TEST_F(OneSide, ANoteOfTheCaptureDoesNotExcuseAnUnseenSlot) {
  at(photo, 5).seen = false;
  capture("photo.glare", Severity::note, {5});
  EXPECT_THAT(with_code(judged(), "photo.covered"), SizeIs(1));
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(OneSide, MarksOfAnUnseenSlotAreNotUsed) {
  at(photo, 2).seen = false;
  at(photo, 2).number.text = "5";
  at(photo, 2).vent.end = End::left;
  at(photo, 2).stagger_mm = 9;
  EXPECT_EQ(only().code, "photo.covered");
}

TEST_F(OneSide, CaptureFindingsAreTakenOverAsTheyAre) {
  capture("photo.blurred", Severity::retake, {});
  EXPECT_EQ(only().message, "seen so");
  EXPECT_EQ(only().action, "do so");
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(OneSide, FixStandsOverRetake) {
  capture("photo.blurred", Severity::retake, {});
  at(photo, 2).number.text = "99";
  EXPECT_EQ(judged().verdict, Verdict::fix);
}

TEST_F(OneSide, EvidenceThatDoesNotAddUpHoldsThePass) {
  photo.marks.slots.pop_back();  // six counted, marks of five
  EXPECT_EQ(only().code, "evidence.incomplete");
  EXPECT_THAT(only().slots, ElementsAre(6));
  EXPECT_EQ(judged().verdict, Verdict::retake);
  photo.marks.slots.clear();
  EXPECT_THAT(only().slots, SizeIs(6));
}

TEST_F(OneSide, APackOfNothingIsNotPassed) {
  pack.modules = photo.modules_counted = 0;
  photo.marks.slots.clear();
  EXPECT_EQ(only().code, "evidence.incomplete");
}

TEST_F(OneSide, SideThatThePackDoesNotHave) {
  photo.side = "bottom";
  EXPECT_EQ(only().code, "evidence.incomplete");
  EXPECT_THAT(only().message, HasSubstr("no side named 'bottom'"));
  EXPECT_THAT(judged().side_verdicts, ElementsAre(Verdict::retake));
  EXPECT_THAT(judged().missing_sides, ElementsAre("top"));
}

TEST(AllSides, RightOnEverySidePasses) {
  const Pack pack = test::four_sides(7);
  const Judgement judgement = judge(pack, test::photos_of(pack, test::right_stack(7)));
  EXPECT_EQ(judgement.verdict, Verdict::pass);
  EXPECT_THAT(judgement.findings, IsEmpty());
  EXPECT_THAT(judgement.repair, IsEmpty());
  EXPECT_THAT(judgement.side_verdicts, testing::Each(Verdict::pass));
}

TEST(AllSides, ARequiredSideThatIsMissingHoldsThePassOfTheStackOnly) {
  Pack pack = test::four_sides(7);
  auto photos = test::photos_of(pack, test::right_stack(7));
  photos.erase(photos.begin() + 2);
  const Judgement judgement = judge(pack, photos);
  EXPECT_EQ(judgement.verdict, Verdict::retake);
  EXPECT_THAT(judgement.missing_sides, ElementsAre("a"));
  EXPECT_THAT(judgement.side_verdicts, testing::Each(Verdict::pass));
  pack.required_sides = {"number", "vent"};
  EXPECT_EQ(judge(pack, photos).verdict, Verdict::pass);
}

TEST(AllSides, EachSideHasItsOwnVerdict) {
  const Pack pack = test::four_sides(7);
  auto photos = test::photos_of(pack, test::right_stack(7));
  at(photos[0], 3).number.confidence = 0;
  at(photos[2], 3).stagger_mm = -2;
  const Judgement judgement = judge(pack, photos);
  EXPECT_THAT(judgement.side_verdicts,
              ElementsAre(Verdict::retake, Verdict::pass, Verdict::fix, Verdict::pass));
  EXPECT_EQ(judgement.verdict, Verdict::fix);
}

TEST(AllSides, NoPhotoAtAllIsNoPass) {
  EXPECT_EQ(judge(test::four_sides(7), {}).verdict, Verdict::retake);
  Pack pack = test::four_sides(7);
  pack.required_sides.clear();
  EXPECT_EQ(judge(pack, {}).verdict, Verdict::retake);
}

TEST(Names, OfVerdictsAndSeverities) {
  EXPECT_STREQ(name_of(Verdict::pass), "pass");
  EXPECT_STREQ(name_of(Verdict::fix), "fix");
  EXPECT_STREQ(name_of(Verdict::retake), "retake");
  EXPECT_STREQ(name_of(Severity::note), "note");
  EXPECT_STREQ(name_of(Severity::retake), "retake");
  EXPECT_STREQ(name_of(Severity::fix), "fix");
}

}  // namespace
}  // namespace plumbstack
