// Lines across the side are found wherever enough of them is seen.
#include <gtest/gtest.h>

#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kStrip = 140, kPitch = 14, kScale = 0.625;  // mm, mm, px per mm
constexpr int kBorders = 8;

// Ridges at y = 14, 28, ... with a slant; what `hidden` names of each is blank.
template <typename Hidden>
FaceMaps ridges(double slope, const Hidden& hidden) {
  FaceMaps maps;
  maps.origin_mm = {-10, 0}, maps.px_per_mm = kScale;
  cv::Mat seam = cv::Mat::zeros(cvRound((kBorders + 1) * kPitch * kScale),
                                cvRound((kStrip + 20) * kScale), CV_32F);
  for (int y = 0; y < seam.rows; ++y)
    for (int x = 0; x < seam.cols; ++x)
      for (int k = 1; k <= kBorders; ++k) {
        const cv::Point2d at = maps.stack_of(cv::Point2d(x, y));
        const double off = at.y - k * kPitch - slope * (at.x - kStrip / 2);
        if (!hidden(k, at.x)) seam.at<float>(y, x) += float(std::exp(-off * off / (2 * 1.6 * 1.6)));
      }
  maps.planes.push_back(seam);
  return maps;
}

void expect_all(const std::vector<Border>& borders) {
  ASSERT_EQ(borders.size(), std::size_t{kBorders});
  for (int k = 1; k <= kBorders; ++k)
    EXPECT_NEAR(borders[std::size_t(k - 1)].y, k * kPitch, 0.3) << k;
}

TEST(Borders, AreFollowedAlongTheirSlant) {
  for (const double slope : {0.0, 0.05, -0.1})
    expect_all(follow_borders(ridges(slope, [](int, double) { return false; }), kStrip, kPitch));
}

// Each border is hidden at other places, so that no station sees all of them.
TEST(Borders, OneIsFoundThoughAnyStationMayMissIt) {
  const auto hidden = [](int k, double x) {
    return std::abs(x - kStrip * k / (kBorders + 1)) < 30;
  };
  expect_all(follow_borders(ridges(0.03, hidden), kStrip, kPitch));
}

TEST(Borders, APieceOfALineIsNone) {
  const auto hidden = [](int k, double x) { return k == 4 && x > 20; };
  EXPECT_EQ(follow_borders(ridges(0, hidden), kStrip, kPitch).size(), std::size_t{kBorders - 1});
}

}  // namespace
}  // namespace plumbstack
