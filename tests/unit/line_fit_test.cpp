// Straight lines against published values: NIST StRD "Norris" (linear least squares, n = 36), and
// the worked straightness examples after ISO 12780-1:2011.
#include "line_fit.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace plumbstack {
namespace {

std::vector<cv::Point2d> norris() {
  const double x[] = {0.2,   337.4, 118.2, 884.6, 10.1,  226.5, 666.3, 996.3, 448.6,
                      777.0, 558.2, 0.4,   0.6,   775.5, 666.9, 338.0, 447.5, 11.6,
                      556.0, 228.1, 995.8, 887.6, 120.2, 0.3,   0.3,   556.8, 339.1,
                      887.2, 999.0, 779.0, 11.1,  118.3, 229.2, 669.1, 448.9, 0.5};
  const double y[] = {0.1,   338.8, 118.1, 888.0, 9.2,   228.1, 668.5, 998.5, 449.1,
                      778.9, 559.2, 0.3,   0.1,   778.1, 668.8, 339.3, 448.9, 10.8,
                      557.7, 228.3, 998.0, 888.8, 119.6, 0.3,   0.6,   557.6, 339.3,
                      888.0, 998.5, 778.9, 10.2,  117.6, 228.9, 668.4, 449.2, 0.2};
  std::vector<cv::Point2d> points;
  for (std::size_t i = 0; i < 36; ++i) points.emplace_back(x[i], y[i]);
  return points;
}

TEST(LineFit, NistNorris) {
  const Line line = least_squares_line(norris());
  EXPECT_NEAR(line.intercept, -0.262323073774029, 1e-10);
  EXPECT_NEAR(line.slope, 1.00211681802045, 1e-12);
  EXPECT_NEAR(line.intercept_se, 0.232818234301152, 1e-10);
  EXPECT_NEAR(line.slope_se, 0.429796848199937E-03, 1e-13);
  EXPECT_NEAR(line.residual_sd, 0.884796396144373, 1e-10);
}

// Least squares smears one bad module over the good ones; the robust line leaves them on it.
TEST(LineFit, OneProudFaceOfEight) {
  std::vector<cv::Point2d> faces;
  for (int i = 0; i < 8; ++i) faces.emplace_back(i, i == 3 ? 1.0 : 0.0);
  const auto spread = [&](const Line& line) {
    double low = 1e9, high = -1e9;
    for (const cv::Point2d& p : faces)
      low = std::min(low, p.y - line.at(p.x)), high = std::max(high, p.y - line.at(p.x));
    return high - low;
  };
  EXPECT_NEAR(spread(least_squares_line(faces)), 1.0357142857, 1e-9);
  EXPECT_NEAR(spread(robust_line(faces)), 1.0, 1e-12);
  EXPECT_NEAR(robust_line(faces).at(3), 0.0, 1e-12);
}

TEST(LineFit, WorkedStraightness) {
  const std::vector<cv::Point2d> points = {{0, 0}, {1, 1}, {2, 0}, {3, 0}};
  const Line line = least_squares_line(points);
  EXPECT_NEAR(line.intercept, 0.4, 1e-12);
  EXPECT_NEAR(line.slope, -0.1, 1e-12);
  // Straightness deviation, peak to valley from the reference line: 1.1 by least squares; the
  // minimum zone, which the robust line finds here, is 1.0.
  const auto peak_to_valley = [&](const Line& reference) {
    double low = 1e9, high = -1e9;
    for (const cv::Point2d& p : points)
      low = std::min(low, p.y - reference.at(p.x)), high = std::max(high, p.y - reference.at(p.x));
    return high - low;
  };
  EXPECT_NEAR(peak_to_valley(line), 1.1, 1e-12);
  EXPECT_NEAR(peak_to_valley(robust_line(points)), 1.0, 1e-12);
}

}  // namespace
}  // namespace plumbstack
