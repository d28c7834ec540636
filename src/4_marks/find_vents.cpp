// Each strip has its vent at one end, and all of them stand at the same distance from theirs. What
// the face network saw there and what the vent network sees of a closer look are compared between
// the two ends: which of them shows the vent is told better than whether one place does.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kReachMm = 6, kFloor = 0.05;
constexpr double kLeastOdds = 1e-5;  // no look is worth more than this
constexpr double kFew = 2;           // strips that show neither, added to the others
constexpr double kMostLean =
    0.4;  // of what one strip shows: a clear vent is one, wherever it stands
constexpr double kFullOdds = 11.5;  // logarithm of the odds at which no closer look is surer

// Where a vent would be: the strongest of the plane within reach of the column, or its middle.
Peak place_on(const FaceMaps& maps, const StripPlace& s, double x) {
  const auto peaks =
      peaks_in(maps, FacePlane::vent,
               {x - kReachMm, s.top_mm, 2 * kReachMm, s.bottom_mm - s.top_mm}, kFloor);
  return peaks.empty() ? Peak{{x, (s.top_mm + s.bottom_mm) / 2}, 0} : peaks.front();
}

// Odds that a place shows a vent; what is covered tells neither.
double odds_of(double told, double in_sight) {
  const double p = told * in_sight + 0.5 * (1 - in_sight);
  return (p + kLeastOdds) / (1 - p + kLeastOdds);
}

struct Ends {
  Peak left, right;
  double for_left = 0;  // -1..1: what both networks make of it, the right end's as negative
  double in_sight = 0;  // of the end it is told at
  const Peak& told() const { return for_left > 0 ? left : right; }
};

double leaning(const Ends& ends) {
  return std::clamp(ends.for_left, -kMostLean, kMostLean);
}

double middle_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

std::vector<VentMark> find_vents(const StackFrame& frame, const FaceMaps& maps,
                                 const VentReader& reader, const Calibration& calibration) {
  std::vector<VentMark> marks(frame.strips.size());
  const auto column = column_of_marks(frame, maps, {FacePlane::vent}, Along::from_nearer_end);
  if (!column) return marks;
  std::vector<Ends> all;
  std::vector<cv::Point2d> places;
  for (const StripPlace& s : frame.strips) {
    all.push_back(
        {place_on(maps, s, s.left_mm + *column), place_on(maps, s, s.right_mm - *column)});
    places.push_back(all.back().left.mm), places.push_back(all.back().right.mm);
  }
  const std::vector<double> told = reader(places);
  std::vector<double> clear;
  for (std::size_t i = 0; i < all.size(); ++i) {
    Ends& ends = all[i];
    const double left = in_sight(maps, ends.left.mm), right = in_sight(maps, ends.right.mm);
    const double odds = std::log(odds_of(told[2 * i], left) / odds_of(told[2 * i + 1], right));
    ends.for_left =
        (ends.left.height - ends.right.height) / 2 + std::clamp(odds / kFullOdds, -1.0, 1.0) / 2;
    ends.in_sight = ends.for_left > 0 ? left : right;
    clear.push_back(std::abs(ends.for_left));
  }
  // A column of something else than vents is unclear on most strips: what is usual counts on each.
  // And it stands at the same end of all: what is unclear and points where the others point, tells
  // little.
  const double usual = middle_of(clear);
  double sum = 0;
  for (const Ends& ends : all) sum += leaning(ends);
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const Ends& ends = all[i];
    if (ends.for_left == 0) continue;
    marks[i].end = ends.for_left > 0 ? End::left : End::right;
    const double lean = (sum - leaning(ends)) / (double(all.size()) - 1 + kFew);
    const double in_common = std::max(0.0, ends.for_left > 0 ? lean : -lean);
    const double own = std::max(0.0, std::abs(ends.for_left) - in_common);
    marks[i].score = std::sqrt(own * usual) * ends.in_sight;
    marks[i].confidence = calibration.look_up(marks[i].score);
    marks[i].centre_in_photo = frame.view.to_photo(ends.told().mm);
  }
  return marks;
}

}  // namespace plumbstack
