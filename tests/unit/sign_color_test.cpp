// Paint is told from rust and from the plastic, also where haze makes it pale.
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "parts.hpp"
#include "plain_maps.hpp"

namespace plumbstack {
namespace {

constexpr double kScale = 4;  // photo px per mm
const cv::Scalar kPlastic(170, 165, 160);

// A dab of 5 mm across on plastic, under haze: `haze` of 1 leaves nothing of it.
double red_mm2(const cv::Scalar& dab_bgr, double haze, const cv::Scalar& plastic = kPlastic) {
  Photo photo;
  photo.pixels = cv::Mat(80, 240, CV_8UC3, plastic);
  cv::circle(photo.pixels, {100, 40}, 10, dab_bgr, cv::FILLED, cv::LINE_AA);
  cv::addWeighted(photo.pixels, 1 - haze, cv::Mat(80, 240, CV_8UC3, cv::Scalar::all(210)), haze, 0,
                  photo.pixels);
  PlaneView view;
  view.photo_from_stack = cv::Matx33d::diag({kScale, kScale, 1});
  return largest_blob(photo, view, empty_maps(), {5, 3, 50, 14}, MarkColor::red).mm2;
}

TEST(SignColor, ADabCountsByItsArea) {
  EXPECT_NEAR(red_mm2({35, 30, 205}, 0), CV_PI * 2.5 * 2.5, 4);
}

TEST(SignColor, ADabInHazeStillCounts) {
  EXPECT_GT(red_mm2({35, 30, 205}, 0.5), 1.5);
}

TEST(SignColor, RustAndBarePlasticAreNoRed) {
  EXPECT_EQ(red_mm2({40, 80, 150}, 0), 0);  // rust
  EXPECT_EQ(red_mm2(kPlastic, 0), 0);
  EXPECT_EQ(red_mm2({70, 75, 140}, 0, {70, 75, 140}), 0);  // a reddish plastic all over
}

TEST(SignColor, AnotherPaintIsNoRed) {
  EXPECT_EQ(red_mm2({190, 80, 40}, 0), 0);
  EXPECT_EQ(red_mm2({40, 200, 235}, 0), 0);
}

// The end of a strip whose sign is at 10 mm, with red at one place and blue at another.
SignSpot painted(double red_mm, double blue_mm = 200) {
  Photo photo;
  photo.pixels = cv::Mat(80, 400, CV_8UC3, kPlastic);
  const auto dab = [&](double mm, const cv::Scalar& bgr) {
    cv::circle(photo.pixels, {int(mm * kScale), 40}, 10, bgr, cv::FILLED, cv::LINE_AA);
  };
  dab(red_mm, {35, 30, 205}), dab(blue_mm, {190, 80, 40});
  PlaneView view;
  view.photo_from_stack = cv::Matx33d::diag({kScale, kScale, 1});
  SignRule rule;
  rule.colors = {{Sign::plus, MarkColor::red}, {Sign::minus, MarkColor::blue}};
  SignSpot spot;
  spot.box = {0, 0, 85, 20}, spot.centre_mm = {10, 10};
  add_color(photo, view, empty_maps(), rule, spot);
  return spot;
}

TEST(SignColor, ADabOnTheSignAndARingBesideIt) {
  EXPECT_EQ(painted(11).color, Sign::plus);
  EXPECT_TRUE(painted(11).painted);
  EXPECT_EQ(painted(29).color, Sign::plus);
  EXPECT_FALSE(painted(29).painted);
  EXPECT_EQ(painted(200, 12).color, Sign::minus);
}

TEST(SignColor, AStrapFurtherAlongIsNotItsColour) {
  EXPECT_FALSE(painted(70).color.has_value());
  EXPECT_EQ(painted(70, 12).color, Sign::minus);
}

// Red beside the left end of a strip that begins at 30 mm, seen by a camera that stands over
// `over_mm`.
std::optional<Sign> beside_the_end(double red_mm, double over_mm) {
  Photo photo;
  photo.pixels = cv::Mat(80, 800, CV_8UC3, kPlastic);
  cv::circle(photo.pixels, {int(red_mm * kScale), 40}, 8, {35, 30, 205}, cv::FILLED, cv::LINE_AA);
  PlaneView view;  // the camera's height is 200 mm: a stud of 20 mm leans by a ninth
  view.photo_from_stack = cv::Matx33d::diag({kScale, kScale, 1});
  view.centre = {over_mm * kScale, 40};
  SignRule rule;
  rule.colors = {{Sign::plus, MarkColor::red}};
  SignSpot spot;
  spot.box = {30, 0, 85, 20}, spot.centre_mm = {40, 10};
  add_color(photo, view, empty_maps(), rule, spot);
  return spot.color;
}

TEST(SignColor, TheTipOfAStudIsSeenBeyondTheEndFromTheOtherSideOnly) {
  EXPECT_EQ(beside_the_end(25, 150), Sign::plus);
  EXPECT_FALSE(beside_the_end(25, 40).has_value());
  EXPECT_FALSE(beside_the_end(25, 0).has_value());
  EXPECT_FALSE(beside_the_end(8, 150).has_value());
}

TEST(SignColor, BothColoursTellNothing) {
  EXPECT_FALSE(painted(11, 20).color.has_value());
  EXPECT_FALSE(painted(20, 11).painted);
}

}  // namespace
}  // namespace plumbstack
