// Writing that the planes miss on one strip is looked for where the others have theirs: at the same
// distance from the same end, and where a turned module would carry it. Where to look comes from
// the neighbours; what stands there is read as anywhere else, and often it is nothing.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kNearMm = 9;         // a writing this near to the place is the one
constexpr double kLeastShare = 0.3;   // of the strips with writing in the column
constexpr double kLeastClear = 0.15;  // of the strips with a clear number in the column
constexpr double kClear = 0.8;        // score of a reading
constexpr std::size_t kMostDigits = 3;
constexpr std::size_t kMostColumns = 3;

using Writings = std::vector<std::vector<Writing>>;

struct Typical {  // what the writings of a column have in common
  double from_left = 0, length_mm = 0, height_mm = 0;
  int rotation_deg = 0;  // this or half a turn from it
  std::size_t strips = 0;
};

double from_left(const StackFrame& frame, std::size_t strip, const Writing& w) {
  return w.centre_mm.x - frame.strips[strip].left_mm;
}

bool is_in(const Typical& column, const Writing& w, double at) {
  return (w.rotation_deg - column.rotation_deg) % 180 == 0 &&
         std::abs(at - column.from_left) < kNearMm;
}

// The writings along one direction around one place.
Typical column_around(const StackFrame& frame, const Writings& writings, std::size_t strip,
                      const Writing& seed) {
  Typical around, sum;
  around.rotation_deg = sum.rotation_deg = seed.rotation_deg;
  around.from_left = from_left(frame, strip, seed);
  for (std::size_t j = 0; j < writings.size(); ++j) {
    const auto w = std::find_if(writings[j].begin(), writings[j].end(), [&](const Writing& one) {
      return is_in(around, one, from_left(frame, j, one));
    });
    if (w == writings[j].end()) continue;
    sum.from_left += from_left(frame, j, *w), ++sum.strips;
    sum.length_mm += w->length_mm, sum.height_mm += w->height_mm;
  }
  const auto n = static_cast<double>(sum.strips);
  sum.from_left /= n, sum.length_mm /= n, sum.height_mm /= n;
  return sum;
}

// Fullest first, each without the writings of those before.
std::vector<Typical> columns_of(const StackFrame& frame, Writings writings, double least_share) {
  std::vector<Typical> columns;
  while (columns.size() < kMostColumns) {
    Typical best;
    for (std::size_t i = 0; i < writings.size(); ++i)
      for (const Writing& seed : writings[i])
        if (const Typical t = column_around(frame, writings, i, seed); t.strips > best.strips)
          best = t;
    if (double(best.strips) < std::max(3.0, least_share * double(frame.strips.size()))) break;
    for (std::size_t i = 0; i < writings.size(); ++i)
      std::erase_if(writings[i],
                    [&](const Writing& w) { return is_in(best, w, from_left(frame, i, w)); });
    columns.push_back(best);
  }
  return columns;
}

// One hand writes the numbers of a stack about equally high; the planes' sizes scatter more than
// that.
void even_out(const StackFrame& frame, const Typical& column, Writings& writings) {
  std::vector<double> heights;
  const auto of_each = [&](const auto& act) {
    for (std::size_t i = 0; i < writings.size(); ++i)
      for (Writing& w : writings[i])
        if (is_in(column, w, from_left(frame, i, w))) act(w);
  };
  of_each([&](Writing& w) { heights.push_back(w.height_mm); });
  const auto middle = heights.begin() + static_cast<std::ptrdiff_t>(heights.size() / 2);
  std::nth_element(heights.begin(), middle, heights.end());
  of_each([&](Writing& w) { w.height_mm = *middle; });
}

bool has_any(const std::vector<Writing>& writings, double x, int rotation) {
  return std::any_of(writings.begin(), writings.end(), [&](const Writing& w) {
    return std::abs(w.centre_mm.x - x) < kNearMm && (w.rotation_deg - rotation) % 180 == 0;
  });
}

Writing writing_like(const Typical& t, const StripPlace& s, double x, int rotation) {
  Writing w;
  w.centre_mm = {x, (s.top_mm + s.bottom_mm) / 2};
  w.length_mm = t.length_mm, w.height_mm = t.height_mm;
  w.rotation_deg = rotation;
  return w;
}

bool is_clear(const Reading& reading) {
  return !reading.text.empty() && reading.text.size() <= kMostDigits && reading.score >= kClear;
}

bool is_clear(const Writing& w) {
  return is_clear(w.upright) || is_clear(w.turned);
}

}  // namespace

void add_expected_places(const StackFrame& frame, std::vector<std::vector<Writing>>& writings) {
  for (const Typical& t : columns_of(frame, writings, kLeastShare)) {
    even_out(frame, t, writings);
    for (std::size_t i = 0; i < writings.size(); ++i) {
      const StripPlace& s = frame.strips[i];
      const double x = s.left_mm + t.from_left, mirrored = s.right_mm - t.from_left;
      if (has_any(writings[i], x, t.rotation_deg) || has_any(writings[i], mirrored, t.rotation_deg))
        continue;
      writings[i].push_back(writing_like(t, s, x, t.rotation_deg));
      writings[i].push_back(writing_like(t, s, mirrored, (t.rotation_deg + 180) % 360));
    }
  }
}

std::vector<std::vector<Writing>> places_beside_clear_numbers(
    const StackFrame& frame, const std::vector<std::vector<Writing>>& writings) {
  Writings clear = writings, added(writings.size());
  for (auto& of_strip : clear)
    std::erase_if(of_strip, [](const Writing& w) { return !is_clear(w); });
  const std::vector<Typical> columns = columns_of(frame, clear, kLeastClear);
  for (const Typical& t : columns)
    for (std::size_t i = 0; i < writings.size(); ++i) {
      const StripPlace& s = frame.strips[i];
      const double x = s.left_mm + t.from_left;
      // An old number that is clear must not keep anyone from looking where the stack has its own.
      const bool beside_clear = !clear[i].empty();
      if (beside_clear && (&t != &columns.front() || has_any(clear[i], x, t.rotation_deg)))
        continue;
      added[i].push_back(writing_like(t, s, x, t.rotation_deg));
      if (!beside_clear)
        added[i].push_back(
            writing_like(t, s, s.right_mm - t.from_left, (t.rotation_deg + 180) % 360));
    }
  return added;
}

}  // namespace plumbstack
