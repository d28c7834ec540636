#include <gtest/gtest.h>

#include "number_choice.hpp"

namespace plumbstack {
namespace {

const NumberEvidence kClear{0.99, 0.95, 0.001, 1, 0, 0.5};

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
}

TEST(NumberOdds, WhatIsHiddenIsNoneTheSurerForBeingReadWell) {
  const NumberEvidence well{1, 1, 0, 1, 0.9, 0};
  // On the drawn sides one of 117 that were read this well under a cover of a fifth or more was
  // wrong.
  EXPECT_LT(number_probability(well), 0.99);
}

TEST(NumberOdds, NothingReadIsWorthNothing) {
  EXPECT_LT(number_probability({}), 0.05);
}

}  // namespace
}  // namespace plumbstack
