#include <algorithm>

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

}  // namespace

VentMark find_vent(const StackFrame& frame, const FaceMaps& maps, std::size_t strip,
                   const std::optional<double>& column, const Calibration& calibration) {
  VentMark mark;
  if (!column) return mark;
  const StripPlace& s = frame.strips[strip];
  const Peak left = strongest(maps, s, s.left_mm + *column),
             right = strongest(maps, s, s.right_mm - *column);
  const Peak& seen = left.height > right.height ? left : right;
  if (seen.height == 0) return mark;
  mark.end = left.height > right.height ? End::left : End::right;
  mark.score = seen.height - std::min(left.height, right.height);
  mark.confidence = calibration.look_up(mark.score);
  mark.centre_in_photo = frame.view.to_photo(seen.mm);
  return mark;
}

}  // namespace plumbstack
