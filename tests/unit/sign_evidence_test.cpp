// What both ends of a strip tell of its sign, by shape and by colour.
#include <gtest/gtest.h>

#include "parts.hpp"

namespace plumbstack {
namespace {

SignSpot shows(double plus, double minus, std::optional<Sign> color = {}) {
  SignSpot spot;
  spot.odds = {plus, minus}, spot.color = color;
  return spot;
}

SignMark told(const SignSpot& left, const SignSpot& right) {
  SignsFound found;
  found.left = left, found.right = right;
  return resolve_signs({found}, End::left, PlaneView{}, {}).front();
}

TEST(SignEvidence, BothShapesAgree) {
  const SignMark mark = told(shows(0.999, 0.001), shows(0.001, 0.999));
  EXPECT_EQ(mark.sign, Sign::plus);
  EXPECT_GT(mark.score, 0.5);
}

TEST(SignEvidence, WhatTheFaceNetworkSawCountsToo) {
  SignSpot seen_twice = shows(0.6, 0.3), seen_otherwise = seen_twice;
  seen_twice.at_first_sight = {0.9, 0}, seen_otherwise.at_first_sight = {0, 0.9};
  const double once = told(shows(0.6, 0.3), {}).score;
  EXPECT_GT(told(seen_twice, {}).score, 2 * once);
  EXPECT_EQ(told(seen_otherwise, {}).sign, Sign::minus);
}

TEST(SignEvidence, PaintThatHidesAShapeTellsWithTheOtherEnd) {
  const SignMark mark = told(shows(0, 0, Sign::plus), shows(0.001, 0.999));
  EXPECT_EQ(mark.sign, Sign::plus);
  EXPECT_GT(mark.score, told(shows(0, 0), shows(0.001, 0.999)).score);
}

TEST(SignEvidence, AShapeUnderPaintGivesWayOnlyToColourAndTheOtherEnd) {
  SignSpot dabbed = shows(0.04, 0.95, Sign::plus);
  EXPECT_EQ(told(dabbed, shows(0.001, 0.999)).score, 0);  // the paint lies elsewhere
  dabbed.painted = true, dabbed.at_first_sight = {0, 0.9};
  const SignMark mark = told(dabbed, shows(0.001, 0.999));
  EXPECT_EQ(mark.sign, Sign::plus);
  EXPECT_GT(mark.score, 0.2);
  EXPECT_EQ(told(dabbed, shows(0, 0)).score, 0);  // a minus printed in red
}

TEST(SignEvidence, AShapeInDoubtIsWeighedAgainstPaint) {
  const SignMark mark = told(shows(0.3, 0.6, Sign::plus), shows(0, 0));
  EXPECT_EQ(mark.sign, Sign::plus);
  EXPECT_GT(mark.score, 0.1);
  EXPECT_LT(mark.score, told(shows(0, 0, Sign::plus), shows(0, 0)).score);
}

TEST(SignEvidence, AColourAgainstTheShapesIsNotTrusted) {
  EXPECT_EQ(told(shows(0.001, 0.999, Sign::plus), shows(0.999, 0.001)).score, 0);
  EXPECT_EQ(told(shows(0, 0, Sign::plus), shows(0.999, 0.001)).score, 0);
  EXPECT_EQ(told(shows(0.999, 0.001), shows(0, 0, Sign::plus)).score, 0);
}

TEST(SignEvidence, AmongSignsInDoubtTheSameIsWorthLess) {
  SignsFound clear, doubtful;
  clear.left = shows(0.99, 0.005), clear.right = shows(0.005, 0.99);
  doubtful.left = shows(0.4, 0.35);
  const auto first_among = [&](const SignsFound& others) {
    return resolve_signs({clear, others, others, others}, End::left, PlaneView{}, {})[0].score;
  };
  EXPECT_LT(first_among(doubtful), 0.5 * first_among(clear));
}

TEST(SignEvidence, WhatMostSignsOfASideReadIsTrustedLessAndReadAllTheSame) {
  SignsFound plus, minus;
  plus.left = shows(0.99, 0.005), minus.left = shows(0.005, 0.99);
  const std::vector<SignMark> alternate =
      resolve_signs({plus, minus, plus, minus, plus, minus}, End::left, PlaneView{}, {});
  const std::vector<SignMark> alike =
      resolve_signs({plus, plus, plus, plus, plus, minus}, End::left, PlaneView{}, {});
  EXPECT_EQ(alike[0].sign, Sign::plus);
  EXPECT_LT(alike[0].score, 0.6 * alternate[0].score);
  EXPECT_NEAR(alike[5].score, alternate[5].score, 0.02);
}

TEST(SignEvidence, PaintTellsAloneUnlessMostStripsShowItAtTheSameEnd) {
  SignsFound here, there;
  here.left = shows(0, 0, Sign::plus), there.right = shows(0, 0, Sign::plus);
  const std::vector<SignMark> alternate =
      resolve_signs({here, there, here, there}, End::left, PlaneView{}, {});
  EXPECT_EQ(alternate[0].sign, Sign::plus);
  EXPECT_EQ(alternate[1].sign, Sign::minus);
  for (const SignMark& mark : alternate) EXPECT_GT(mark.score, 0.15);
  const std::vector<SignMark> cable =
      resolve_signs({here, here, here, here, here, there}, End::left, PlaneView{}, {});
  for (int slot = 0; slot < 5; ++slot) EXPECT_LT(cable[slot].score, 0.1 * alternate[0].score);
  EXPECT_EQ(cable[5].sign, Sign::minus);
  EXPECT_GT(cable[5].score, 2 * cable[0].score);
}

TEST(SignEvidence, WhereNothingIsSeenNothingIsTold) {
  EXPECT_FALSE(told(shows(0, 0), shows(0, 0)).sign.has_value());
}

}  // namespace
}  // namespace plumbstack
