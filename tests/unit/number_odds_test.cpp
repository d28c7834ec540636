#include <gtest/gtest.h>

#include "number_choice.hpp"

namespace plumbstack {
namespace {

const NumberEvidence kClear{0.99, 0.95, 0.001, 1, 0, 0.5, 0.95};

TEST(NumberOdds, ClearEvidenceIsNearlySure) {
  EXPECT_GT(number_probability(kClear), 0.97);
  EXPECT_LT(number_probability(kClear), 1);
}

TEST(NumberOdds, LessOfAnyEvidenceIsWorthLess) {
  const auto with = [](auto change) {
    NumberEvidence e = kClear;
    change(e);
    return number_probability(e);
  };
  const double clear = number_probability(kClear);
  EXPECT_LT(with([](NumberEvidence& e) { e.places = 0.6; }), clear);
  EXPECT_LT(with([](NumberEvidence& e) { e.columns = 0.3; }), clear);
  EXPECT_LT(with([](NumberEvidence& e) { e.way = 0.5; }), clear);
  EXPECT_LT(with([](NumberEvidence& e) { e.covered = 0.2; }), clear);
  EXPECT_LT(with([](NumberEvidence& e) { e.off_column = 5; }), clear);
  EXPECT_LT(with([](NumberEvidence& e) { e.others = 0.6; }), clear);
}

TEST(NumberOdds, WhatIsCoveredIsWorthLessHoweverWellItReads) {
  const NumberEvidence plain{1, 1, 0, 1, 0, 0, 0.95}, covered{1, 1, 0, 1, 0.9, 0, 0.95};
  EXPECT_LT(number_probability(covered), number_probability(plain));
}

TEST(NumberOdds, ALoneNumberMayBeAnOldOne) {
  // Where nearly all numbers of a drawn side lay under something, what read well was an old one.
  const NumberEvidence among_others{0.999, 0.95, 0.001, 1, 0, 0, 0.95},
      alone{0.999, 0.95, 0.001, 1, 0, 0, 0.05};
  EXPECT_GT(number_probability(among_others), 0.98);
  EXPECT_LT(number_probability(alone), 0.95);
}

TEST(NumberOdds, NothingReadIsWorthNothing) {
  EXPECT_LT(number_probability({}), 0.1);
}

}  // namespace
}  // namespace plumbstack
