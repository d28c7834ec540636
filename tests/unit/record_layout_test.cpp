// Labels keep clear of the strips and of one another, however the stack lies in the photo.
#include <gtest/gtest.h>

#include <cmath>

#include "check_fixture.hpp"
#include "label_layout.hpp"

namespace plumbstack::test {
namespace {

TEST(Spread, LeavesAloneWhatIsFarEnoughApart) {
  EXPECT_EQ(spread({1, 5, 9}, 4), (std::vector<double>{1, 5, 9}));
  EXPECT_TRUE(spread({}, 4).empty());
}

TEST(Spread, MovesACrowdEvenlyToBothSides) {
  EXPECT_EQ(spread({5, 5, 5}, 2), (std::vector<double>{3, 5, 7}));
  // The two fives want 3 and 7, which pushes the zero: all three off by the same sum of squares.
  const std::vector<double> placed = spread({0, 5, 5, 20}, 4);
  const std::vector<double> least_squares = {-2.0 / 3, 10.0 / 3, 22.0 / 3, 20};
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(placed[i], least_squares[i], 1e-9) << i;
}

TEST(Spread, KeepsOrderAndDistanceWhenCrowdsMeet) {
  const std::vector<double> placed = spread({0, 0, 0, 3, 3, 4, 30}, 2);
  for (std::size_t i = 1; i < placed.size(); ++i)
    EXPECT_GE(placed[i] - placed[i - 1], 2 - 1e-9) << i;
  EXPECT_EQ(placed.back(), 30);
}

TEST(Tags, OneForARunOfEqualNeighbours) {
  std::vector<SlotView> views(6);
  for (std::size_t i : {1u, 2u, 3u}) views[i].words = {"turned"};
  views[5].words = {"turned"};
  const std::vector<Tag> tags = tags_of(views);
  ASSERT_EQ(tags.size(), 2u);
  EXPECT_EQ(tags[0].first, 1u);
  EXPECT_EQ(tags[0].last, 3u);
  EXPECT_EQ(tags[1].first, 5u);
}

// A stack of `n` strips turned by `degrees`, filling a good part of a photo of 1000 x 1000.
std::vector<SlotView> turned_stack(int n, double degrees, double pitch, double length) {
  const double turn = degrees * CV_PI / 180;
  const cv::Point2d along(std::cos(turn), std::sin(turn)), down(-along.y, along.x);
  std::vector<SlotView> views;
  for (int i = 0; i < n; ++i) {
    const cv::Point2d top =
        cv::Point2d(500, 500) - along * (length / 2) + down * (pitch * (i - n / 2.0));
    SlotView view;
    view.slot = i + 1;
    view.face_in_photo = {top, top + along * length, top + along * length + down * pitch,
                          top + down * pitch};
    view.has_face = true;
    view.marks = SlotMarks{};
    if (i % 3 == 0) view.words = {"reads " + std::to_string(i)};
    views.push_back(view);
  }
  return views;
}

class Layout : public testing::TestWithParam<double> {};

TEST_P(Layout, KeepsLabelsBesideTheStripsAndOnTheCanvas) {
  for (const auto& [pitch, length] : {std::pair{24.0, 300.0}, {38.0, 700.0}, {8.0, 90.0}}) {
    const auto views = turned_stack(20, GetParam(), pitch, length);
    const LabelWidths widths{2, 7, 9};
    const LabelLayout l = lay_out(views, widths, {1000, 1000}, {1000, 1000}, 115, 20);
    EXPECT_LE(l.photo_scale, 1);
    for (const SlotView& view : views)
      for (const cv::Point2d& corner : view.face_in_photo) {
        const cv::Point2d at = l.frame.from_photo(corner);
        EXPECT_LT(l.left.a(at.y), at.x - 19);
        EXPECT_GT(l.right.a(at.y), at.x + 19);
      }
    const double out = widths.slot * l.letters + (widths.tag + 1.8) * l.tag_letters;
    for (double b : l.left_b)
      for (double a : {l.left.a(b) - out, l.right.a(b) + widths.reading * l.letters}) {
        const cv::Point2d at = l.frame.to_photo({a, b}) * l.photo_scale + l.photo_at;
        EXPECT_GE(at.x, -1);
        EXPECT_LE(at.x, 1001);
        EXPECT_GE(at.y, 114);
        EXPECT_LE(at.y, 1001);
      }
  }
}

TEST_P(Layout, ReadsUprightOrUpwardsNeverUpsideDown) {
  const auto views = turned_stack(12, GetParam(), 30, 400);
  const LabelLayout l = lay_out(views, {}, {1000, 1000}, {1000, 1000}, 115, 0);
  EXPECT_TRUE(l.frame.along.x > 0.2 || l.frame.along.y < 0);
}

INSTANTIATE_TEST_SUITE_P(Turns, Layout, testing::Values(0, 20, 75, 90, 105, 180, 200, 270, 345));

TEST(TextFrames, GiveBackTheSamePoint) {
  const LabelLayout l = lay_out(turned_stack(5, 33, 30, 200), {}, {900, 900}, {900, 900}, 100, 0);
  const cv::Point2d point(123, 456), back = l.frame.to_photo(l.frame.from_photo(point));
  EXPECT_NEAR(back.x, point.x, 1e-9);
  EXPECT_NEAR(back.y, point.y, 1e-9);
}

}  // namespace
}  // namespace plumbstack::test
