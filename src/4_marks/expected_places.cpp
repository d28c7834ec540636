// Writing that the planes miss on one strip is looked for where the others have theirs: at the same
// distance from the same end, and where a turned module would carry it. Where to look comes from
// the neighbours; what stands there is read as anywhere else, and often it is nothing.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kNearMm = 9;        // a writing this near to the place is the one
constexpr double kLeastShare = 0.3;  // of the strips with writing in the column

struct Typical {  // what the writings of a column have in common
  double from_left = 0, length_mm = 0, height_mm = 0;
  int rotation_deg = 0;
  std::size_t strips = 0;
};

double from_left(const StackFrame& frame, std::size_t strip, const Writing& w) {
  return w.centre_mm.x - frame.strips[strip].left_mm;
}

// Writings of one rotation around one place; the best supported place wins.
Typical fullest_column(const StackFrame& frame, const std::vector<std::vector<Writing>>& writings) {
  Typical best;
  for (std::size_t i = 0; i < writings.size(); ++i)
    for (const Writing& seed : writings[i]) {
      Typical t;
      t.rotation_deg = seed.rotation_deg;
      for (std::size_t j = 0; j < writings.size(); ++j)
        for (const Writing& w : writings[j])
          if (w.rotation_deg == seed.rotation_deg &&
              std::abs(from_left(frame, j, w) - from_left(frame, i, seed)) < kNearMm) {
            t.from_left += from_left(frame, j, w), t.length_mm += w.length_mm;
            t.height_mm += w.height_mm, ++t.strips;
            break;
          }
      if (t.strips > best.strips) best = t;
    }
  if (best.strips == 0) return best;
  const double n = static_cast<double>(best.strips);
  best.from_left /= n, best.length_mm /= n, best.height_mm /= n;
  return best;
}

void add_if_free(const StripPlace& s, double x, int rotation, const Typical& t,
                 std::vector<Writing>& writings) {
  const bool taken = std::any_of(writings.begin(), writings.end(), [&](const Writing& w) {
    return std::abs(w.centre_mm.x - x) < kNearMm && (w.rotation_deg - rotation) % 180 == 0;
  });
  if (taken) return;
  Writing w;
  w.centre_mm = {x, (s.top_mm + s.bottom_mm) / 2};
  w.length_mm = t.length_mm, w.height_mm = t.height_mm;
  w.rotation_deg = rotation;
  writings.push_back(w);
}

}  // namespace

void add_expected_places(const StackFrame& frame, std::vector<std::vector<Writing>>& writings) {
  const Typical t = fullest_column(frame, writings);
  if (double(t.strips) < std::max(3.0, kLeastShare * double(frame.strips.size()))) return;
  for (std::size_t i = 0; i < writings.size(); ++i) {
    const StripPlace& s = frame.strips[i];
    add_if_free(s, s.left_mm + t.from_left, t.rotation_deg, t, writings[i]);
    add_if_free(s, s.right_mm - t.from_left, (t.rotation_deg + 180) % 360, t, writings[i]);
  }
}

}  // namespace plumbstack
