#include "line_fit.hpp"

#include <algorithm>
#include <cmath>

namespace plumbstack {

double median_of(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

Line least_squares_line(const std::vector<cv::Point2d>& points) {
  const double n = static_cast<double>(points.size());
  cv::Point2d mean(0, 0);
  for (const cv::Point2d& p : points) mean += p / n;
  double sxx = 0, sxy = 0, rss = 0;
  for (const cv::Point2d& p : points) {
    sxx += (p.x - mean.x) * (p.x - mean.x);
    sxy += (p.x - mean.x) * (p.y - mean.y);
  }
  Line line;
  line.slope = sxy / sxx;
  line.intercept = mean.y - line.slope * mean.x;
  for (const cv::Point2d& p : points) rss += (p.y - line.at(p.x)) * (p.y - line.at(p.x));
  line.residual_sd = std::sqrt(rss / (n - 2));
  line.slope_se = line.residual_sd / std::sqrt(sxx);
  line.intercept_se = line.residual_sd * std::sqrt(1 / n + mean.x * mean.x / sxx);
  return line;
}

Line robust_line(const std::vector<cv::Point2d>& points) {
  std::vector<double> slopes, intercepts, residuals;
  for (std::size_t i = 0; i < points.size(); ++i)
    for (std::size_t j = i + 1; j < points.size(); ++j)
      if (std::abs(points[j].x - points[i].x) > 1e-9)
        slopes.push_back((points[j].y - points[i].y) / (points[j].x - points[i].x));
  Line line;
  line.slope = median_of(slopes);
  for (const cv::Point2d& p : points) intercepts.push_back(p.y - line.slope * p.x);
  line.intercept = median_of(intercepts);
  for (const cv::Point2d& p : points) residuals.push_back(std::abs(p.y - line.at(p.x)));
  line.residual_sd = 1.4826 * median_of(residuals);
  return line;
}

}  // namespace plumbstack
