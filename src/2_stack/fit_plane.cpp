// Points known to lie on lines x = const or y = const of the side give equations that are linear in
// the homography back from the photo:  (a u + b v + c) - X (g u + h v + 1) = 0, and the same for Y.
// Weighted least squares repeated with Tukey weights keeps modules that are off from bending the
// fit; the radial term is sought outside, by the residual it leaves. Ends scatter more than
// borders: each kind has its own bound, or the few ends would all count as off.
#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

struct Solved {
  double spread = 1e9;            // mean absolute residual, mm, within the robust bound
  cv::Matx<double, 8, 8> normal;  // of the parameters, in units of kUnit
  cv::Matx<double, 8, 1> parameters;
};

// Scaled to about one, or the normal equations lose digits.
constexpr double kUnit = 200;        // mm
constexpr double kLeastBound = 0.8;  // mm, from which a point is off at the least

cv::Matx33d from_parameters(const cv::Matx<double, 8, 1>& h) {
  const cv::Matx33d shrink(1 / kUnit, 0, 0, 0, 1 / kUnit, 0, 0, 0, 1),
      grow(kUnit, 0, 0, 0, kUnit, 0, 0, 0, 1);
  return grow * cv::Matx33d(h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), 1) * shrink;
}

cv::Point2d undistorted(cv::Point2d p, const PlaneView& view, double k1) {
  const cv::Point2d seen = p - view.centre;
  cv::Point2d d = seen;
  for (int i = 0; i < 6; ++i)
    d = seen / (1 + k1 * d.dot(d) / (view.half_diagonal * view.half_diagonal));
  return view.centre + d;
}

cv::Matx<double, 1, 8> row_of(const cv::Point2d& p, const LinePoint& point) {
  cv::Matx<double, 1, 8> row = cv::Matx<double, 1, 8>::zeros();
  const int first = point.along_x ? 0 : 3;
  row(0, first) = p.x, row(0, first + 1) = p.y, row(0, first + 2) = 1;
  row(0, 6) = -point.target_mm * p.x, row(0, 7) = -point.target_mm * p.y;
  return row;
}

Solved solve(const std::vector<LinePoint>& points, const PlaneView& start, double k1) {
  const cv::Matx33d back = start.photo_from_stack.inv();
  std::vector<cv::Point2d> at;
  for (const LinePoint& p : points)
    at.push_back(map_point(back, undistorted(p.photo_px, start, k1)) / kUnit);
  std::vector<double> weight(points.size(), 1.0), residual(points.size(), 0.0);
  cv::Matx<double, 8, 1> h;
  Solved solved;
  for (int round = 0; round < 12; ++round) {
    cv::Matx<double, 8, 8> normal = cv::Matx<double, 8, 8>::eye() * 1e-9;
    cv::Matx<double, 8, 1> right = cv::Matx<double, 8, 1>::zeros();
    for (std::size_t i = 0; i < points.size(); ++i) {
      LinePoint scaled = points[i];
      scaled.target_mm /= kUnit;
      const auto row = row_of(at[i], scaled);
      const double w = weight[i] * points[i].weight;
      normal += w * (row.t() * row);
      right += w * scaled.target_mm * row.t();
    }
    cv::solve(normal, right, h, cv::DECOMP_SVD);
    std::vector<double> size, of_kind[2];
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double scale = 1 + h(6) * at[i].x + h(7) * at[i].y;
      const int first = points[i].along_x ? 0 : 3;
      residual[i] = kUnit * (h(first) * at[i].x + h(first + 1) * at[i].y + h(first + 2)) / scale -
                    points[i].target_mm;
      size.push_back(std::abs(residual[i]));
      if (points[i].seen) of_kind[points[i].along_x].push_back(size.back());
    }
    double bound[2];
    for (const int kind : {0, 1})
      bound[kind] = of_kind[kind].empty()
                        ? kLeastBound
                        : std::max(kLeastBound, 4.685 * 1.4826 * median_of(of_kind[kind]));
    solved.spread = 0;
    const auto seen = static_cast<double>(of_kind[0].size() + of_kind[1].size());
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (!points[i].seen) continue;
      const double most = bound[points[i].along_x], r = std::min(1.0, size[i] / most);
      weight[i] = (1 - r * r) * (1 - r * r);
      solved.spread += std::min(size[i], most) / seen;
    }
    solved.normal = normal;
  }
  solved.parameters = h;
  return solved;
}

cv::Matx33d view_of(const cv::Matx<double, 8, 1>& parameters, const cv::Matx33d& start) {
  const cv::Matx33d view = start * from_parameters(parameters).inv();
  return view * (1 / view(2, 2));
}

// The parameters' covariance, carried to the entries of the view by the change that a small step of
// each parameter makes in them.
cv::Matx<double, 8, 8> carried_over(const Solved& solved, const cv::Matx33d& view,
                                    const cv::Matx33d& start) {
  constexpr double kStep = 1e-6;
  const double sd = 1.2533 * solved.spread / kUnit;  // of a Gaussian, from its mean deviation
  const auto of_parameters = solved.normal.inv(cv::DECOMP_SVD) * (sd * sd);
  cv::Matx<double, 8, 8> change;
  for (int j = 0; j < 8; ++j) {
    cv::Matx<double, 8, 1> moved = solved.parameters;
    moved(j) += kStep;
    const cv::Matx33d there = view_of(moved, start);
    for (int i = 0; i < 8; ++i) change(i, j) = (there.val[i] - view.val[i]) / kStep;
  }
  return change * of_parameters * change.t();
}

}  // namespace

PlaneView fit_plane(const std::vector<LinePoint>& points, const PlaneView& start,
                    cv::Matx<double, 8, 8>& covariance) {
  double best_k1 = 0;
  Solved best;
  const auto consider = [&](double k1) {
    Solved one = solve(points, start, k1);
    one.spread += 0.15 * std::abs(k1);  // weak prior: lenses of phones are nearly straight
    if (one.spread < best.spread) best = one, best_k1 = k1;
  };
  for (double k1 : {0.0, -0.08, -0.04, 0.04, 0.08}) consider(k1);
  for (double step : {0.02, 0.01, 0.005}) {
    const double around = best_k1;
    consider(around - step), consider(around + step);
  }
  PlaneView view = start;
  view.k1 = best_k1;
  view.photo_from_stack = view_of(best.parameters, start.photo_from_stack);
  covariance = carried_over(best, view.photo_from_stack, start.photo_from_stack);
  return view;
}

}  // namespace plumbstack
