// All modules are one moulding, so marks of a kind stand at one distance from an end of the strip,
// on turned modules too. Where most strips agree, that is where to look on the others.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFloor = 0.1, kReachMm = 5, kLeastShare = 0.3;

struct Vote {
  double along = 0, weight = 0;
  std::size_t strip = 0;
};

double along_of(const StripPlace& s, double x, Along along) {
  const double left = x - s.left_mm, right = s.right_mm - x;
  return along == Along::from_nearer_end ? std::min(left, right) : left;
}

double support(const std::vector<Vote>& votes, double at) {
  double sum = 0;
  for (const Vote& v : votes)
    sum += v.weight * std::max(0.0, 1 - std::abs(v.along - at) / kReachMm);
  return sum;
}

std::size_t strips_near(const std::vector<Vote>& votes, double at) {
  std::vector<std::size_t> strips;
  for (const Vote& v : votes)
    if (std::abs(v.along - at) < kReachMm) strips.push_back(v.strip);
  std::sort(strips.begin(), strips.end());
  return static_cast<std::size_t>(std::unique(strips.begin(), strips.end()) - strips.begin());
}

}  // namespace

cv::Rect2d box_of(const StripPlace& s) {
  return {s.left_mm, s.top_mm, s.right_mm - s.left_mm, s.bottom_mm - s.top_mm};
}

std::optional<double> column_of_marks(const StackFrame& frame, const FaceMaps& maps,
                                      const std::vector<FacePlane>& planes, Along along) {
  std::vector<Vote> votes;
  for (std::size_t i = 0; i < frame.strips.size(); ++i)
    for (const FacePlane plane : planes)
      for (const Peak& p : peaks_in(maps, plane, box_of(frame.strips[i]), kFloor))
        votes.push_back({along_of(frame.strips[i], p.mm.x, along), p.height, i});
  if (votes.empty()) return std::nullopt;
  const Vote best =
      *std::max_element(votes.begin(), votes.end(), [&](const Vote& a, const Vote& b) {
        return support(votes, a.along) < support(votes, b.along);
      });
  if (double(strips_near(votes, best.along)) <
      std::max(2.0, kLeastShare * double(frame.strips.size())))
    return std::nullopt;
  double sum = 0, weight = 0;
  for (const Vote& v : votes)
    if (std::abs(v.along - best.along) < kReachMm) sum += v.weight * v.along, weight += v.weight;
  return sum / weight;
}

}  // namespace plumbstack
