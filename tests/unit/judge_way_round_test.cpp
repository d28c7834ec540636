// Vents and signs: which way round each module stands, and when one mark settles it for the other.
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

// The vent side alone (vents and signs) of a pack of six.
struct VentSide : testing::Test {
  Pack pack = [] {
    Pack p = test::four_sides(6);
    p.required_sides = {"vent"};
    return p;
  }();
  SideEvidence photo = test::photo_of(pack, "vent", test::right_stack(6));
  Judgement judged() const { return judge(pack, {photo}); }
  Finding only(const std::string& code) const {
    const auto found = with_code(judged(), code);
    EXPECT_THAT(found, SizeIs(1)) << code;
    return found.empty() ? Finding{} : found[0];
  }
};

TEST_F(VentSide, AlternationAsThePackNamesItPasses) {
  EXPECT_EQ(at(photo, 1).vent.end, End::left);
  EXPECT_EQ(at(photo, 2).vent.end, End::right);
  EXPECT_EQ(at(photo, 6).sign.sign, Sign::minus);
  EXPECT_EQ(judged().verdict, Verdict::pass);
  EXPECT_THAT(judged().findings, IsEmpty());
}

TEST_F(VentSide, TurnedModuleIsTheOnlyOneNamed) {
  Stack stack = test::right_stack(6);
  stack[2].turned = true;
  photo = test::photo_of(pack, "vent", stack);
  EXPECT_THAT(only("vent.repeat").slots, ElementsAre(3));
  EXPECT_THAT(only("sign.repeat").slots, ElementsAre(3));
  EXPECT_EQ(only("vent.repeat").message, "slot 3 has its vent at the wrong end");
  EXPECT_EQ(only("sign.repeat").message, "slot 3 shows the wrong sign");
  EXPECT_EQ(only("vent.repeat").action,
            "before any bus bar goes on: turn the module in slot 3 end for end");
  ASSERT_THAT(judged().repair, SizeIs(1));
  EXPECT_EQ(judged().repair[0].text, "turn the module in slot 3 end for end");
}

TEST_F(VentSide, WholeRowInvertedIsNamedWhole) {
  Stack stack = test::right_stack(6);
  for (auto& module : stack) module.turned = true;
  photo = test::photo_of(pack, "vent", stack);
  EXPECT_THAT(only("vent.repeat").slots, ElementsAre(1, 2, 3, 4, 5, 6));
  EXPECT_THAT(only("sign.repeat").message, HasSubstr("slots 1 to 6 show the wrong sign"));
  EXPECT_THAT(only("vent.repeat").action,
              HasSubstr("check first that slot 1 is at the edge named"));
  EXPECT_EQ(judged().verdict, Verdict::fix);
}

TEST_F(VentSide, EitherMarkSettlesAndTheOtherIsANote) {
  at(photo, 2).vent.end.reset();
  at(photo, 3).sign.confidence = 0.97;
  EXPECT_EQ(only("vent.unsure").severity, Severity::note);
  EXPECT_THAT(only("vent.unsure").slots, ElementsAre(2));
  EXPECT_EQ(only("sign.unsure").severity, Severity::note);
  EXPECT_THAT(only("sign.unsure").slots, ElementsAre(3));
  EXPECT_EQ(judged().verdict, Verdict::pass);
}

TEST_F(VentSide, NeitherMarkIsARetake) {
  at(photo, 2).vent.confidence = 0.98;
  at(photo, 2).sign.sign.reset();
  EXPECT_EQ(only("vent.unsure").severity, Severity::retake);
  EXPECT_EQ(only("sign.unsure").severity, Severity::retake);
  EXPECT_EQ(judged().verdict, Verdict::retake);
}

TEST_F(VentSide, SettledAndOpenSlotsAreTwoFindings) {
  at(photo, 2).vent.end.reset();
  at(photo, 4).vent.end.reset(), at(photo, 4).sign.sign.reset();
  const auto unsure = with_code(judged(), "vent.unsure");
  ASSERT_THAT(unsure, SizeIs(2));
  EXPECT_THAT(unsure[0].slots, ElementsAre(2));
  EXPECT_EQ(unsure[0].severity, Severity::note);
  EXPECT_THAT(unsure[1].slots, ElementsAre(4));
  EXPECT_EQ(unsure[1].severity, Severity::retake);
}

TEST_F(VentSide, UntrustedMarkIsNeverAFault) {
  at(photo, 2).vent.end = other(*at(photo, 2).vent.end);
  at(photo, 2).vent.confidence = 0.9899;
  EXPECT_THAT(with_code(judged(), "vent.repeat"), IsEmpty());
  EXPECT_EQ(judged().verdict, Verdict::pass);  // by its sign
}

TEST_F(VentSide, TheBarsThemselvesAreTrusted) {
  at(photo, 2).vent.confidence = TrustBar{}.vent;
  at(photo, 2).sign.confidence = TrustBar{}.sign;
  EXPECT_THAT(judged().findings, IsEmpty());
}

TEST_F(VentSide, VentAndSignThatContradictAreSaidSo) {
  at(photo, 5).vent.end = other(*at(photo, 5).vent.end);
  const Finding repeat = only("vent.repeat");
  EXPECT_THAT(repeat.slots, ElementsAre(5));
  EXPECT_THAT(repeat.message, HasSubstr("on slot 5 vent and sign contradict each other"));
  EXPECT_THAT(repeat.action, HasSubstr("look at the module in slot 5 by hand"));
  EXPECT_THAT(with_code(judged(), "sign.repeat"), IsEmpty());
  EXPECT_THAT(judged().repair, IsEmpty());  // whether to turn it is not known
}

TEST_F(VentSide, NotesDoNotKeepAFixAway) {
  at(photo, 2).vent.end.reset();
  at(photo, 3).stagger_mm = 1.5;
  EXPECT_EQ(judged().verdict, Verdict::fix);
}

TEST(SignSide, OneKindOfMarkHasNothingToSettleIt) {
  Pack pack = test::four_sides(6);
  pack.required_sides = {"b"};
  SideEvidence photo = test::photo_of(pack, "b", test::right_stack(6));
  EXPECT_EQ(at(photo, 1).sign.sign, Sign::minus);
  EXPECT_EQ(judge(pack, {photo}).verdict, Verdict::pass);
  at(photo, 1).sign.from_opposite = true;
  EXPECT_EQ(judge(pack, {photo}).verdict, Verdict::pass);
  at(photo, 1).sign.confidence = 0.5;
  EXPECT_EQ(judge(pack, {photo}).verdict, Verdict::retake);
  at(photo, 1).sign = {Sign::plus, 1, false, {}};
  EXPECT_THAT(with_code(judge(pack, {photo}), "sign.repeat"), SizeIs(1));
}

TEST(VentOnlySide, HasNoSignToSettleIt) {
  Pack pack = test::four_sides(6);
  pack.sides[1].sign.reset();
  pack.required_sides = {"vent"};
  SideEvidence photo = test::photo_of(pack, "vent", test::right_stack(6));
  EXPECT_EQ(judge(pack, {photo}).verdict, Verdict::pass);
  // A sign that the side does not list is not looked at, right or wrong.
  at(photo, 3).sign = {Sign::minus, 1, false, {}};
  at(photo, 3).vent.end.reset();
  const Judgement judgement = judge(pack, {photo});
  EXPECT_EQ(judgement.verdict, Verdict::retake);
  EXPECT_THAT(with_code(judgement, "sign.repeat"), IsEmpty());
}

}  // namespace
}  // namespace plumbstack
