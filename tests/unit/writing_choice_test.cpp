// Which writing of a strip is its number, and which way round it is read.
#include <gtest/gtest.h>

#include "parts.hpp"
#include "plain_frame.hpp"
#include "reader_parts.hpp"

namespace plumbstack {
namespace {

Writing writing_at(std::size_t strip, double x, int rotation_deg) {
  Writing w;
  w.centre_mm = {x, kPitch * (double(strip) + 0.5)};
  w.length_mm = 14, w.height_mm = 10;
  w.rotation_deg = rotation_deg, w.heat = 0.8;
  return w;
}

// As if both networks said the same of it.
Reading by_both(Reading r) {
  r.places = r.columns = r.score, r.nothing = 0.001;
  return r;
}

Writing read_as(Writing w, const Reading& upright, const Reading& turned) {
  w.upright = by_both(upright), w.turned = by_both(turned);
  return w;
}

struct Numbers {
  Pack pack;
  Side side;
  StackFrame frame = frame_of(12);
  std::vector<std::vector<Writing>> writings;

  explicit Numbers(std::optional<End> end, double x) : x_(x) {
    pack.modules = 12;
    side.strip_mm = kStrip;
    side.number = NumberRule{};
    side.number->first = 1, side.number->end = end, side.number->rotation_deg = 0;
    for (std::size_t i = 0; i < frame.strips.size(); ++i)
      writings.push_back({read_as(writing_at(i, x, 0), {"2", 0.99}, {})});
  }
  void put(std::size_t strip, const Reading& upright, const Reading& turned) {
    writings[strip] = {read_as(writing_at(strip, x_, 0), upright, turned)};
  }
  NumberMark chosen(std::size_t strip) const {
    return choose_numbers(
        pack, side, frame, writings,
        [](const Writing&, int, const Reading& reading) { return reading.score; })[strip];
  }

 private:
  double x_;
};

TEST(WritingChoice, WhatReadsBothWaysIsReadAsTheOthersStand) {
  Numbers numbers(End::left, 30);
  numbers.put(5, {"9", 0.6}, {"6", 0.97});
  EXPECT_EQ(numbers.chosen(5).text, "9");
  EXPECT_EQ(numbers.chosen(5).rotation_deg, 0);
  EXPECT_LT(numbers.chosen(5).confidence, 0.6);
}

TEST(WritingChoice, AClearNumberUpsideDownIsReadUpsideDown) {
  Numbers numbers(End::left, 30);
  numbers.put(5, {}, {"13", 0.99});
  EXPECT_EQ(numbers.chosen(5).text, "13");
  EXPECT_EQ(numbers.chosen(5).rotation_deg, 180);
  EXPECT_GT(numbers.chosen(5).confidence, 0.98);
}

TEST(WritingChoice, InTheMiddleASixMayBeANineOnATurnedModule) {
  Numbers at_the_end(End::left, 30), in_the_middle(std::nullopt, 100);
  for (Numbers* numbers : {&at_the_end, &in_the_middle}) {
    numbers->put(5, {"6", 0.999}, {"9", 0.9});
    EXPECT_EQ(numbers->chosen(5).text, "6");
  }
  EXPECT_GT(at_the_end.chosen(5).confidence, 0.99);
  EXPECT_LT(in_the_middle.chosen(5).confidence, 0.99);
}

TEST(WritingChoice, WithoutOtherNumbersWhatReadsBothWaysIsInDoubt) {
  Numbers numbers(End::left, 30);
  for (std::size_t i = 0; i < 12; ++i) numbers.put(i, {"6", 0.99}, {"9", 0.99});
  EXPECT_LT(numbers.chosen(5).confidence, 0.7);
}

TEST(WritingChoice, TheColumnIsWhereNumbersReadWellNotWhereMostIsFound) {
  Numbers numbers(End::left, 30);
  for (std::size_t i = 0; i < 12; ++i)  // a row of slots on every module
    numbers.writings[i].push_back(read_as(writing_at(i, 62, 180), {}, {"80", 0.3}));
  for (const std::size_t i : {2, 4, 5, 7, 8, 10}) numbers.put(i, {}, {});
  for (const std::size_t i : {2, 4, 5, 7, 8, 10})
    numbers.writings[i].push_back(read_as(writing_at(i, 62, 180), {}, {"80", 0.3}));
  numbers.writings[4].push_back(read_as(writing_at(4, 33, 0), {"5", 0.5}, {}));
  EXPECT_EQ(numbers.chosen(0).text, "2");
  EXPECT_EQ(numbers.chosen(4).text, "5");
}

TEST(WritingChoice, OneNumberFoundTwiceIsNoDoubt) {
  Numbers numbers(End::left, 30);
  numbers.writings[5].push_back(read_as(writing_at(5, 32, 0), {"2", 0.98}, {}));
  EXPECT_GT(numbers.chosen(5).confidence, 0.98);
}

TEST(WritingChoice, OneNumberThatReadsDifferentlyWhenFoundAgainIsInDoubt) {
  Numbers numbers(End::left, 30);
  numbers.writings[5].push_back(read_as(writing_at(5, 26, 0), {"12", 0.98}, {}));
  EXPECT_EQ(numbers.chosen(5).text, "2");
  EXPECT_LT(numbers.chosen(5).confidence, 0.7);
}

TEST(WritingChoice, AnOldNumberBesideTheColumnIsNoDoubt) {
  Numbers numbers(End::left, 30);
  numbers.writings[5].push_back(read_as(writing_at(5, 46, 0), {"17", 0.99}, {}));
  EXPECT_EQ(numbers.chosen(5).text, "2");
  EXPECT_GT(numbers.chosen(5).confidence, 0.97);
}

TEST(WritingChoice, AnOldNumberAtTheOtherEndInTheSameColumnIsADoubt) {
  Numbers numbers(End::left, 30);
  numbers.writings[5].push_back(read_as(writing_at(5, kStrip - 30, 180), {"17", 0.99}, {}));
  EXPECT_LT(numbers.chosen(5).confidence, 0.7);
}

TEST(WritingChoice, ANumberAmongNumbersThatReadBadlyIsTrustedLess) {
  Numbers among_clear(End::left, 30), among_blurred(End::left, 30);
  for (std::size_t i = 0; i < 12; ++i)
    if (i != 5) among_blurred.put(i, {"2", 0.5}, {});
  EXPECT_GT(among_clear.chosen(5).evidence.others, 0.95);
  EXPECT_LT(among_blurred.chosen(5).evidence.others, 0.6);
  EXPECT_LT(among_blurred.chosen(5).confidence, among_clear.chosen(5).confidence);
}

TEST(WritingChoice, CapacityFiguresMakeNoColumn) {
  Numbers numbers(End::left, 30);
  for (std::size_t i = 0; i < 12; ++i)
    numbers.writings[i].push_back(read_as(writing_at(i, 60, 0), {"5904", 1.0}, {}));
  numbers.writings[5].push_back(read_as(writing_at(5, 60, 0), {"17", 0.99}, {}));
  EXPECT_EQ(numbers.chosen(5).text, "2");
  EXPECT_GT(numbers.chosen(5).confidence, 0.97);
}

TEST(ExpectedPlaces, AStripWithoutWritingIsLookedAtWhereTheOthersHaveTheirs) {
  const StackFrame frame = frame_of(10);
  std::vector<std::vector<Writing>> writings;
  for (std::size_t i = 0; i < 10; ++i)
    writings.push_back({writing_at(i, 30, i % 2 ? 90 : 270), writing_at(i, 150, 0)});
  writings[4].clear();
  writings[7] = {writing_at(7, 170, 90), writing_at(7, 50, 180)};  // turned end for end
  add_expected_places(frame, writings);
  ASSERT_EQ(writings[4].size(), 4U);
  std::vector<double> places;
  for (const Writing& w : writings[4]) {
    EXPECT_EQ(w.centre_mm.y, 90);
    EXPECT_EQ(w.heat, 0);
    places.push_back(w.centre_mm.x);
  }
  std::sort(places.begin(), places.end());
  const double wanted[] = {30, 50, 150, 170};
  for (std::size_t k = 0; k < 4; ++k) EXPECT_NEAR(places[k], wanted[k], 1e-9);
  EXPECT_EQ(writings[7].size(), 2U);
  EXPECT_EQ(writings[0].size(), 2U);
}

TEST(ExpectedPlaces, AFewWritingsMakeNoColumn) {
  const StackFrame frame = frame_of(10);
  std::vector<std::vector<Writing>> writings(10);
  writings[1] = {writing_at(1, 30, 0)}, writings[2] = {writing_at(2, 30, 0)};
  add_expected_places(frame, writings);
  EXPECT_TRUE(writings[4].empty());
}

TEST(ExpectedPlaces, WhereNoNumberIsClearItIsLookedForInTheColumnOfTheClearOnes) {
  const StackFrame frame = frame_of(10);
  std::vector<std::vector<Writing>> writings;
  for (std::size_t i = 0; i < 10; ++i)
    writings.push_back({read_as(writing_at(i, 30, 0), {"7", i % 3 ? 0.5 : 0.95}, {}),
                        read_as(writing_at(i, 120, 90), {"6300", 0.99}, {})});
  const auto added = places_beside_clear_numbers(frame, writings);
  EXPECT_TRUE(added[3].empty());  // clear itself
  ASSERT_EQ(added[4].size(), 2U);
  EXPECT_NEAR(added[4][0].centre_mm.x, 30, 1e-9);
  EXPECT_EQ(added[4][0].rotation_deg, 0);
  EXPECT_NEAR(added[4][1].centre_mm.x, 170, 1e-9);  // where a turned module would carry it
  EXPECT_EQ(added[4][1].rotation_deg, 180);
}

TEST(ExpectedPlaces, AnOldNumberThatIsClearDoesNotHideTheColumn) {
  const StackFrame frame = frame_of(10);
  std::vector<std::vector<Writing>> writings;
  for (std::size_t i = 0; i < 10; ++i)
    writings.push_back({read_as(writing_at(i, i == 4 ? 140 : 30, 0), {"21", 0.99}, {})});
  const auto added = places_beside_clear_numbers(frame, writings);
  EXPECT_TRUE(added[3].empty());
  ASSERT_EQ(added[4].size(), 1U);
  EXPECT_NEAR(added[4][0].centre_mm.x, 30, 1e-9);
}

TEST(Places, TheLikelyNumberIsWhatIsMostProbableApartFromNothing) {
  Places places;
  places.length = {0.7, 0.2, 0.1, 0, 0};
  for (auto& place : places.digits) place.fill(0.05);
  places.digits[0][3] = 0.5, places.digits[1][7] = 0.9;
  EXPECT_EQ(likely_number(places), "3");
  places.length = {0.1, 0.2, 0.7, 0, 0};
  EXPECT_EQ(likely_number(places), "37");
  EXPECT_NEAR(probability_of("37", places), 0.7 * 0.5 * 0.9, 1e-12);
}

}  // namespace
}  // namespace plumbstack
