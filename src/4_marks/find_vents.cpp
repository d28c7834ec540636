#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kReachMm = 6, kFloor = 0.05;

// The strongest vent of a strip within reach of a place along it.
Peak strongest(const FaceMaps& maps, const StripPlace& s, double x) {
  const auto peaks =
      peaks_in(maps, FacePlane::vent,
               {x - kReachMm, s.top_mm, 2 * kReachMm, s.bottom_mm - s.top_mm}, kFloor);
  return peaks.empty() ? Peak{} : peaks.front();
}

struct Pair {
  Peak left, right;
  const Peak& seen() const { return left.height > right.height ? left : right; }
  double difference() const { return std::abs(left.height - right.height); }
};

}  // namespace

std::vector<VentMark> find_vents(const StackFrame& frame, const FaceMaps& maps,
                                 const Calibration& calibration) {
  std::vector<VentMark> marks(frame.strips.size());
  const auto column = column_of_marks(frame, maps, {FacePlane::vent}, Along::from_nearer_end);
  if (!column) return marks;
  std::vector<Pair> pairs;
  std::vector<double> differences;
  for (const StripPlace& s : frame.strips) {
    pairs.push_back(
        {strongest(maps, s, s.left_mm + *column), strongest(maps, s, s.right_mm - *column)});
    differences.push_back(pairs.back().difference());
  }
  // A column of something else than vents is weak on most strips: what is usual counts on each.
  const auto middle = differences.begin() + static_cast<std::ptrdiff_t>(differences.size() / 2);
  std::nth_element(differences.begin(), middle, differences.end());
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const Pair& pair = pairs[i];
    if (pair.seen().height == 0) continue;
    marks[i].end = pair.left.height > pair.right.height ? End::left : End::right;
    marks[i].score = std::sqrt(pair.difference() * *middle) * in_sight(maps, pair.seen().mm);
    marks[i].confidence = calibration.look_up(marks[i].score);
    marks[i].centre_in_photo = frame.view.to_photo(pair.seen().mm);
  }
  return marks;
}

}  // namespace plumbstack
