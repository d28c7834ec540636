// Where the strips' left and right ends run: of all straight lines near the place where the coarse
// view has them, the one along which the end plane is highest. A few modules that stand out, studs
// or a rod beside the stack do not bend it.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kReachMm = 36;     // from where the coarse view has the ends
constexpr double kSteepest = 0.16;  // mm along the strip for each along the axis
constexpr int kSlopes = 33;
constexpr std::size_t kOuter = 2;  // intervals at each end of the chain that may be plates

struct EndProfile {
  double y = 0;   // middle of the strip, mm
  cv::Mat ridge;  // end plane over the strip's thickness, by column
};

std::vector<EndProfile> profiles_of(const FaceMaps& maps, FacePlane which,
                                    const std::vector<Interval>& strips) {
  const cv::Mat& plane = maps.plane(which);
  const std::size_t skip = strips.size() > 4 * kOuter ? kOuter : 0;
  std::vector<EndProfile> profiles;
  for (std::size_t i = skip; i + skip < strips.size(); ++i) {
    const double inset = 0.2 * (strips[i].bottom - strips[i].top);
    const int from = std::max(0, static_cast<int>(maps.pixel_of({0, strips[i].top + inset}).y)),
              to = std::min(plane.rows,
                            static_cast<int>(maps.pixel_of({0, strips[i].bottom - inset}).y) + 1);
    if (to <= from) continue;
    EndProfile one{(strips[i].top + strips[i].bottom) / 2, {}};
    cv::reduce(plane.rowRange(from, to), one.ridge, 0, cv::REDUCE_AVG, CV_32F);
    profiles.push_back(one);
  }
  return profiles;
}

double height_at(const FaceMaps& maps, const EndProfile& profile, double x) {
  const int column = static_cast<int>(std::lround(maps.pixel_of({x, 0}).x));
  if (column < 1 || column + 1 >= profile.ridge.cols) return 0;
  const float* ridge = profile.ridge.ptr<float>();
  return std::max({ridge[column - 1], ridge[column], ridge[column + 1]});
}

}  // namespace

EndLine find_end_line(const FaceMaps& maps, const std::vector<Interval>& strips, bool left,
                      double near_x) {
  const auto profiles =
      profiles_of(maps, left ? FacePlane::left_end : FacePlane::right_end, strips);
  EndLine best;
  best.line.intercept = near_x;
  if (profiles.empty()) return best;
  const double middle = (profiles.front().y + profiles.back().y) / 2, step = 1 / maps.px_per_mm;
  for (double off = -kReachMm; off <= kReachMm; off += step)
    for (int k = 0; k < kSlopes; ++k) {
      const double slope = kSteepest * (2.0 * k / (kSlopes - 1) - 1);
      double sum = 0;
      for (const EndProfile& p : profiles)
        sum += height_at(maps, p, near_x + off + slope * (p.y - middle));
      const double strength = sum / static_cast<double>(profiles.size());
      if (strength > best.strength)
        best.strength = strength, best.line.slope = slope,
        best.line.intercept = near_x + off - slope * middle;
    }
  return best;
}

}  // namespace plumbstack
