// What is covered, or may go on under a cover, is not told with trust.
#include <gtest/gtest.h>

#include <functional>

#include "parts.hpp"
#include "plain_frame.hpp"
#include "plain_maps.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kStrips = 8;

void lay_over(FaceMaps& maps, const cv::Rect2d& mm) {
  cv::Mat& plane = maps.planes[static_cast<std::size_t>(FacePlane::cover)];
  const cv::Rect box(cv::Point(maps.pixel_of(mm.tl())), cv::Point(maps.pixel_of(mm.br())));
  plane(box & cv::Rect({}, plane.size())).setTo(1);
}

double covered_beside(double from_x, double to_x, int rotation_deg) {
  FaceMaps maps = empty_maps();
  lay_over(maps, {from_x, -20, to_x - from_x, 200});
  Writing w;
  w.centre_mm = {60, 3.5 * kPitch}, w.length_mm = 16, w.height_mm = 10;
  w.rotation_deg = rotation_deg;
  std::vector<std::vector<Writing>> writings(kStrips);
  writings[3] = {w};
  note_cover(frame_of(kStrips), maps, writings);
  return writings[3][0].covered;
}

TEST(HiddenMarks, ADigitMayBeHiddenBesideTheText) {
  EXPECT_NEAR(covered_beside(80, 100, 0), 0, 1e-6);
  EXPECT_GT(covered_beside(68, 88, 0), 0.5);  // right of it
  EXPECT_GT(covered_beside(32, 52, 0), 0.5);  // left of it
  EXPECT_GT(covered_beside(32, 52, 180), 0.5);
}

TEST(HiddenMarks, NoDigitIsHiddenAboveOrBelowTheText) {
  EXPECT_NEAR(covered_beside(70, 90, 90), 0, 1e-6);
}

TEST(HiddenMarks, AVentUnderAHoseIsNotTold) {
  FaceMaps maps = empty_maps();
  const StackFrame frame = frame_of(kStrips);
  const auto vent_x = [](std::size_t i) { return i % 2 ? kStrip - 40 : 40; };
  for (std::size_t i = 0; i < kStrips; ++i)
    add_peak(maps, FacePlane::vent, {vent_x(i), kPitch * (double(i) + 0.5)}, 0.9);
  const auto seen = [&](const std::vector<cv::Point2d>& places) {
    std::vector<double> odds;
    for (const cv::Point2d& p : places)
      odds.push_back(std::abs(p.x - vent_x(static_cast<std::size_t>(p.y / kPitch))) < 5 ? 1 : 0);
    return odds;
  };
  lay_over(maps, {-10, 2 * kPitch, 100, kPitch});
  const std::vector<VentMark> vents = find_vents(frame, maps, seen, {});
  ASSERT_EQ(vents.size(), kStrips);
  EXPECT_GT(vents[0].score, 0.8);
  EXPECT_LT(vents[2].score, 0.1);
  EXPECT_EQ(vents[1].end, End::right);
}

// Vents at the ends that `at` names, as clear as the plane's height and the network's odds make
// them.
std::vector<VentMark> vents_at(const std::function<End(std::size_t)>& at, float height,
                               double odds) {
  FaceMaps maps = empty_maps();
  const auto vent_x = [&](std::size_t i) { return at(i) == End::right ? kStrip - 40 : 40; };
  for (std::size_t i = 0; i < kStrips; ++i)
    add_peak(maps, FacePlane::vent, {vent_x(i), kPitch * (double(i) + 0.5)}, height);
  const auto seen = [&](const std::vector<cv::Point2d>& places) {
    std::vector<double> all;
    for (const cv::Point2d& p : places)
      all.push_back(std::abs(p.x - vent_x(static_cast<std::size_t>(p.y / kPitch))) < 5 ? odds
                                                                                       : 1 - odds);
    return all;
  };
  return find_vents(frame_of(kStrips), maps, seen, {});
}

TEST(HiddenMarks, WhatLooksALittleLikeAVentAtTheSameEndOfAllIsNone) {
  const auto alternate = [](std::size_t i) { return i % 2 ? End::right : End::left; };
  const auto alike = [](std::size_t) { return End::left; };
  EXPECT_LT(vents_at(alike, 0.3F, 0.8)[1].score, 0.6 * vents_at(alternate, 0.3F, 0.8)[1].score);
  EXPECT_EQ(vents_at(alike, 0.3F, 0.8)[1].end, End::left);
  EXPECT_GT(vents_at(alike, 0.95F, 1)[1].score, 0.7);  // a stack of which nobody turned any
}

}  // namespace
}  // namespace plumbstack
