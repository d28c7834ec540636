// Where modules sit: stagger and gaps, with what their uncertainty allows to say.
#include <gmock/gmock.h>

#include <cmath>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::at;
using test::with_code;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

struct Place : testing::Test {
  Pack pack = test::one_side(5);
  SideEvidence photo = test::photo_of(pack, "top", test::right_stack(5));
  Judgement judged() const { return judge(pack, {photo}); }
  // The one finding there is.
  Finding only() const {
    EXPECT_THAT(judged().findings, SizeIs(1));
    return judged().findings.empty() ? Finding{} : judged().findings[0];
  }
  Finding with_stagger(std::optional<double> mm, double sd) {
    at(photo, 3).stagger_mm = mm;
    at(photo, 3).stagger_sd_mm = sd;
    return only();
  }
};

TEST_F(Place, OverTheLimitToEitherSide) {
  const Finding right = with_stagger(1.4, 0.1);
  EXPECT_EQ(right.code, "stagger.over");
  EXPECT_EQ(right.severity, Severity::fix);
  EXPECT_THAT(right.slots, ElementsAre(3));
  EXPECT_EQ(right.message, "slot 3 sits 1.4 mm off the line, the limit is 1.0 mm");
  EXPECT_THAT(right.action, HasSubstr("push the module in slot 3 1.4 mm to the left"));
  EXPECT_THAT(with_stagger(-1.4, 0.1).action, HasSubstr("1.4 mm to the right"));
}

TEST_F(Place, FarOverIsOverHoweverUnsure) {
  EXPECT_EQ(with_stagger(5, 0.8).code, "stagger.over");
}

TEST_F(Place, NearTheLimitIsANote) {
  EXPECT_EQ(with_stagger(-0.85, 0.1).code, "stagger.near");
  EXPECT_EQ(judged().findings[0].severity, Severity::note);
  EXPECT_EQ(judged().verdict, Verdict::pass);
  EXPECT_EQ(with_stagger(1.0, 0.1).code, "stagger.near");  // on the limit is not over it
  at(photo, 3).stagger_mm = 0.79;
  EXPECT_THAT(judged().findings, IsEmpty());
}

TEST_F(Place, TooUnsureOrNotMeasuredNeverPasses) {
  const double nan = std::nan("");
  for (const auto& [mm, sd] : std::vector<std::pair<std::optional<double>, double>>{
           {0.0, 0.51}, {1.5, 0.8}, {std::nullopt, 0.1}, {nan, 0.1}, {0.1, nan}, {0.1, -1.0}}) {
    const Finding unsure = with_stagger(mm, sd);
    EXPECT_EQ(unsure.code, "stagger.unsure");
    EXPECT_EQ(unsure.severity, Severity::retake);
    EXPECT_THAT(unsure.slots, ElementsAre(3));
    EXPECT_EQ(judged().verdict, Verdict::retake);
  }
  at(photo, 3).stagger_mm = 0.0, at(photo, 3).stagger_sd_mm = 0.5;
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(Place, UnsureSlotsAreOneFinding) {
  at(photo, 2).stagger_mm.reset();
  at(photo, 4).stagger_sd_mm = 3;
  EXPECT_THAT(only().slots, ElementsAre(2, 4));
}

TEST_F(Place, NoLimitNoFinding) {
  pack.stagger_limit_mm.reset();
  pack.seat_gap_limit_mm.reset();
  at(photo, 2).stagger_mm = 9;
  at(photo, 3).stagger_mm.reset();
  at(photo, 4).gap_mm = 9;
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(Place, GapNamesBothNeighbours) {
  at(photo, 4).gap_mm = 2.6;
  EXPECT_EQ(only().code, "seat.gap");
  EXPECT_EQ(only().severity, Severity::fix);
  EXPECT_THAT(only().slots, ElementsAre(4, 5));
  EXPECT_EQ(only().message, "a gap of 2.6 mm between slots 4 and 5, the limit is 2.5 mm");
  at(photo, 4).gap_mm = 2.5;
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(Place, EachGapIsAFinding) {
  at(photo, 1).gap_mm = at(photo, 2).gap_mm = 4;
  EXPECT_THAT(with_code(judged(), "seat.gap"), SizeIs(2));
}

TEST_F(Place, GapNotMeasuredNeverPasses) {
  at(photo, 2).gap_mm.reset();
  EXPECT_EQ(only().code, "seat.unsure");
  EXPECT_EQ(judged().verdict, Verdict::retake);
  at(photo, 2).gap_mm = std::nan("");
  EXPECT_EQ(only().code, "seat.unsure");
}

TEST_F(Place, WhereABorderWasNotSeenAGapIsUnsure) {
  at(photo, 1).gap_mm = 4;
  photo.count_sure = false;
  EXPECT_THAT(with_code(judged(), "seat.gap"), SizeIs(0));
  EXPECT_THAT(with_code(judged(), "seat.unsure"), SizeIs(1));
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(Place, LastSlotHasNoGap) {
  at(photo, 5).gap_mm = 9;  // the end plate is no neighbour
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

}  // namespace
}  // namespace plumbstack
