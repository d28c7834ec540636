// The plane fit on points made from a known view: what it finds, and whether its covariance is the
// scatter that repeated noise really gives.
#include <gtest/gtest.h>

#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

PlaneView true_view() {
  PlaneView view;
  view.photo_from_stack = cv::Matx33d(3.1, 0.2, 300, -0.1, 3.0, 250, 1e-4, 5e-5, 1);
  view.centre = {700, 900}, view.half_diagonal = 1140;
  return view;
}

std::vector<LinePoint> points_with_noise(const PlaneView& view, cv::RNG& noise, double sd_mm) {
  std::vector<LinePoint> points;
  for (int k = 0; k <= 20; ++k)
    for (int i = 0; i < 9; ++i)
      points.push_back(
          {view.to_photo({30.0 * i, 20.0 * k + noise.gaussian(sd_mm)}), false, 20.0 * k, 1});
  for (int k = 0; k < 20; ++k)
    for (const double x : {0.0, 240.0})
      points.push_back({view.to_photo({x + noise.gaussian(sd_mm), 20.0 * k + 10}), true, x, 1});
  return points;
}

PlaneView nudged(PlaneView view) {
  view.photo_from_stack =
      view.photo_from_stack * cv::Matx33d(1.004, 0.003, 1.2, -0.002, 0.997, -0.8, 0, 0, 1);
  return view;
}

TEST(FitPlane, ModulesThatAreOffDoNotBendIt) {
  cv::RNG noise(3);
  std::vector<LinePoint> points = points_with_noise(true_view(), noise, 0.05);
  for (const std::size_t end : {189U, 190U, 201U})  // ends of two modules, 4 mm off
    points[end].photo_px =
        true_view().to_photo(true_view().to_stack(points[end].photo_px) + cv::Point2d(4, 0));
  cv::Matx<double, 8, 8> covariance;
  const PlaneView fitted = fit_plane(points, nudged(true_view()), covariance);
  for (const cv::Point2d corner : {cv::Point2d(0, 0), {240, 0}, {240, 400}, {0, 400}})
    EXPECT_LT(cv::norm(fitted.to_stack(true_view().to_photo(corner)) - corner), 0.15);
}

TEST(FitPlane, FewEndsThatScatterStillHoldTheStrip) {
  cv::RNG noise(4);
  std::vector<LinePoint> points = points_with_noise(true_view(), noise, 0.05);
  for (LinePoint& p : points)
    if (p.along_x)
      p.photo_px = true_view().to_photo(true_view().to_stack(p.photo_px) +
                                        cv::Point2d(noise.gaussian(2.5), 0));
  cv::Matx<double, 8, 8> covariance;
  const PlaneView fitted = fit_plane(points, nudged(true_view()), covariance);
  for (const cv::Point2d corner : {cv::Point2d(0, 0), {240, 0}, {240, 400}, {0, 400}})
    EXPECT_LT(cv::norm(fitted.to_stack(true_view().to_photo(corner)) - corner), 2.5);
}

TEST(FitPlane, WhereNoEndIsSeenTheViewKeepsWhatItHad) {
  cv::RNG noise(6);
  std::vector<LinePoint> points = points_with_noise(true_view(), noise, 0.05);
  std::erase_if(points, [](const LinePoint& p) { return p.along_x; });
  const PlaneView start = nudged(true_view());
  for (int k = 0; k < 20; ++k)
    for (const double x : {0.0, 240.0})
      points.push_back({start.to_photo({x, 20.0 * k + 10}), true, x, 0.02, false});
  cv::Matx<double, 8, 8> covariance;
  const PlaneView fitted = fit_plane(points, start, covariance);
  for (const double x : {0.0, 240.0}) {
    const cv::Point2d there = fitted.to_stack(start.to_photo({x, 200}));
    EXPECT_NEAR(there.x, x, 0.5);
    EXPECT_NEAR(fitted.to_stack(true_view().to_photo({x, 200})).y, 200, 0.1);
  }
}

TEST(FitPlane, CovarianceIsTheScatterOfRepeatedFits) {
  cv::RNG noise(5);
  constexpr int kRepeats = 60;
  cv::Matx<double, 8, 1> sum = cv::Matx<double, 8, 1>::zeros(), squares = sum, claimed = sum;
  for (int repeat = 0; repeat < kRepeats; ++repeat) {
    cv::Matx<double, 8, 8> covariance;
    const PlaneView fitted =
        fit_plane(points_with_noise(true_view(), noise, 0.1), nudged(true_view()), covariance);
    if (fitted.k1 != 0) continue;  // the radial term takes part of the entries' place
    for (int i = 0; i < 8; ++i) {
      const double off = fitted.photo_from_stack.val[i] - true_view().photo_from_stack.val[i];
      sum(i) += 1, squares(i) += off * off, claimed(i) += covariance(i, i);
    }
  }
  ASSERT_GT(sum(0), 20);
  for (int i = 0; i < 8; ++i) {
    EXPECT_LT(std::sqrt(squares(i) / claimed(i)), 1.5) << "entry " << i;
    EXPECT_GT(std::sqrt(squares(i) / claimed(i)), 0.6) << "entry " << i;
  }
}

}  // namespace
}  // namespace plumbstack
