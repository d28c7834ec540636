// Straight lines through points: ordinary least squares with standard errors, and a robust line
// that one displaced module does not bend.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace plumbstack {

struct Line {
  double intercept = 0, slope = 0;
  double intercept_se = 0, slope_se = 0;  // standard errors; 0 where not estimated
  double residual_sd = 0;
  double at(double x) const { return intercept + slope * x; }
};

/// y = intercept + slope x. At least three points, not all at one x.
Line least_squares_line(const std::vector<cv::Point2d>& points);

/// Theil-Sen: median of the slopes of all pairs, then median of the intercepts; up to 29 % of the
/// points may be anything. residual_sd is 1.4826 times the median absolute residual.
Line robust_line(const std::vector<cv::Point2d>& points);

double median_of(std::vector<double> values);  // 0 for none

}  // namespace plumbstack
