// Which of the lines across the side are the borders of modules. A chain is sought whose steps are
// about one thickness (a gap between two modules and a border that is hidden are allowed, at a
// cost) and whose borders are as strong as possible. End plates may lie at a module's distance too,
// so the outer intervals of the chain stay only where they look like their fellows: borders and
// ends as strong, thickness as exact, surface as alike.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kMisfit = 8;      // cost of a step by the square of what it is off, in thicknesses
constexpr double kGapCost = 0.25;  // of a space between two modules
constexpr double kHiddenCost = 0.5;                  // of each border that is not seen
constexpr double kUsualGap = 0.3, kWidestGap = 0.5;  // in thicknesses
constexpr int kMostHidden = 3;                       // borders in a row
constexpr double kEndMm = 6;  // what an end may be off the line of the others by
constexpr double kOffMm = 2;  // what a border that was not followed may be off by

struct Step {
  double cost = 1e9;
  int modules = 0;  // 0 = a gap
};

Step step_of(double in_thicknesses) {
  if (in_thicknesses < 0.06) return {};
  if (in_thicknesses < kWidestGap) {
    const double over = std::max(0.0, in_thicknesses - kUsualGap);
    return {kGapCost + kMisfit * over * over, 0};
  }
  const int modules = std::max(1, static_cast<int>(std::lround(in_thicknesses)));
  const double off = in_thicknesses - modules;
  if (modules > kMostHidden + 1 || std::abs(off) > 0.3) return {};
  return {kHiddenCost * (modules - 1) + kMisfit * off * off / modules, modules};
}

// The thickness as it appears in the maps' own scale, which the coarse view sets only roughly.
double apparent_thickness(const std::vector<Border>& borders, double thickness) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < borders.size(); ++i) {
    const double step = borders[i].y - borders[i - 1].y;
    if (step > 0.75 * thickness && step < 1.3 * thickness) steps.push_back(step);
  }
  return steps.size() < 3 ? thickness : median_of(steps);
}

std::vector<std::size_t> best_chain(const std::vector<Border>& borders, double thickness) {
  const std::size_t n = borders.size();
  std::vector<double> score(n);
  std::vector<std::optional<std::size_t>> before(n);
  for (std::size_t i = 0; i < n; ++i) {
    score[i] = borders[i].strength;
    for (std::size_t j = i; j-- > 0;) {
      const Step step = step_of((borders[i].y - borders[j].y) / thickness);
      // Two gaps in a row are none.
      if (step.modules == 0 && before[j] &&
          step_of((borders[j].y - borders[*before[j]].y) / thickness).modules == 0)
        continue;
      const double with = score[j] + borders[i].strength - step.cost;
      if (with > score[i]) score[i] = with, before[i] = j;
    }
  }
  std::vector<std::size_t> chain;
  if (n == 0) return chain;
  std::optional<std::size_t> at =
      static_cast<std::size_t>(std::max_element(score.begin(), score.end()) - score.begin());
  for (; at; at = before[*at]) chain.push_back(*at);
  std::reverse(chain.begin(), chain.end());
  return chain;
}

double ridge_share(const FaceMaps& maps, FacePlane which, double x, double top, double bottom) {
  const cv::Mat& plane = maps.plane(which);
  const cv::Point2d a = maps.pixel_of({x - kEndMm, top + 0.2 * (bottom - top)}),
                    b = maps.pixel_of({x + kEndMm, bottom - 0.2 * (bottom - top)});
  const cv::Rect box = cv::Rect(cv::Point(a), cv::Point(b)) & cv::Rect({}, plane.size());
  if (box.width < 2 || box.height < 1) return 0;
  cv::Mat highest;
  cv::reduce(plane(box), highest, 1, cv::REDUCE_MAX);
  return cv::mean(highest)[0];
}

std::vector<Interval> intervals_of(const std::vector<Border>& borders,
                                   const std::vector<std::size_t>& chain, double thickness) {
  std::vector<Interval> found;
  for (std::size_t k = 1; k < chain.size(); ++k) {
    const Border &upper = borders[chain[k - 1]], &lower = borders[chain[k]];
    const double step = (lower.y - upper.y) / thickness;
    const int modules = step_of(step).modules;
    for (int m = 0; m < modules; ++m) {
      Interval one;
      one.top = upper.y + (lower.y - upper.y) * m / modules;
      one.bottom = upper.y + (lower.y - upper.y) * (m + 1) / modules;
      if (m == 0) one.top_border = chain[k - 1];
      if (m + 1 == modules) one.bottom_border = chain[k];
      one.likeness.border = modules > 1 ? 0 : std::min(upper.strength, lower.strength);
      one.likeness.misfit = std::abs(step - modules);
      found.push_back(one);
    }
  }
  return found;
}

// How strong the seam plane is along a line; what it is off by a little does not matter.
double strength_along(const FaceMaps& maps, const Line& line, double strip) {
  constexpr int kPlaces = 25;
  const cv::Mat& plane = maps.plane(FacePlane::seam);
  double sum = 0;
  for (int k = 1; k <= kPlaces; ++k) {
    const double x = strip * k / (kPlaces + 1);
    const cv::Point2d a = maps.pixel_of({x, line.at(x) - kOffMm}),
                      b = maps.pixel_of({x, line.at(x) + kOffMm});
    const cv::Rect box =
        cv::Rect(cv::Point(a), cv::Point(b) + cv::Point(1, 1)) & cv::Rect({}, plane.size());
    double highest = 0;
    if (!box.empty()) cv::minMaxLoc(plane(box), nullptr, &highest);
    sum += highest / kPlaces;
  }
  return sum;
}

// One more interval beyond an end of the chain, whose outer border is hardly seen if at all:
// whether it is a module, its ends and surface have to tell.
void add_beyond(const FaceMaps& maps, const std::vector<Border>& borders, bool first,
                double thickness, double strip, std::vector<Interval>& strips) {
  const Interval& outer = first ? strips.front() : strips.back();
  const auto known = first ? outer.top_border : outer.bottom_border;
  if (!known) return;
  const double step = first ? -thickness : thickness;
  Line line = robust_line(borders[*known].points);
  const double inner = line.at(strip / 2);
  line.intercept += step;
  Interval one;
  one.top = std::min(inner, inner + step), one.bottom = std::max(inner, inner + step);
  if (one.top < maps.stack_of({0, 0}).y ||
      one.bottom > maps.stack_of({0, maps.plane(FacePlane::seam).rows - 1.0}).y)
    return;
  (first ? one.bottom_border : one.top_border) = known;
  one.likeness.border = std::min(borders[*known].strength, strength_along(maps, line, strip));
  strips.insert(first ? strips.begin() : strips.end(), one);
}

// A strip's surface, coarse enough that a little stagger or slant does not matter: colour and how
// much is going on along and across.
cv::Mat surface_of(const Raster& raster, const Interval& strip, double length) {
  const cv::Point2d a = (cv::Point2d(0, strip.top) - raster.origin_mm) * raster.px_per_mm,
                    b = (cv::Point2d(length, strip.bottom) - raster.origin_mm) * raster.px_per_mm;
  const cv::Rect box = cv::Rect(cv::Point(a), cv::Point(b)) & cv::Rect({}, raster.pixels.size());
  if (box.width < 24 || box.height < 6) return {};
  cv::Mat color, grey, dx, dy, small, out;
  raster.pixels(box).convertTo(color, CV_32FC3, 1 / 255.0);
  cv::cvtColor(color, grey, cv::COLOR_BGR2GRAY);
  cv::Sobel(grey, dx, CV_32F, 1, 0), cv::Sobel(grey, dy, CV_32F, 0, 1);
  const cv::Size cells(24, 4);
  for (const cv::Mat& part : {color, cv::Mat(cv::abs(dx)), cv::Mat(cv::abs(dy))}) {
    cv::resize(part, small, cells, 0, 0, cv::INTER_AREA);
    out.push_back(small.reshape(1, 1).t());
  }
  return out;
}

// How far each strip's surface is from the nearest of its neighbours', against the usual distance.
void compare_surfaces(const Raster& raster, double length, std::vector<Interval>& strips) {
  std::vector<cv::Mat> surface;
  for (const Interval& s : strips) surface.push_back(surface_of(raster, s, length));
  const auto n = static_cast<int>(strips.size());
  std::vector<double> apart(strips.size(), 1e9), usual;
  for (int i = 0; i < n; ++i) {
    // The outer two of each end may be plates: they are compared with what lies within.
    for (int j = std::max(2, i - 5); j <= std::min(n - 3, i + 5); ++j)
      if (j != i && !surface[size_t(i)].empty() && !surface[size_t(j)].empty())
        apart[size_t(i)] = std::min(apart[size_t(i)],
                                    cv::norm(surface[size_t(i)], surface[size_t(j)], cv::NORM_L1));
    if (i >= 2 && i < n - 2 && apart[size_t(i)] < 1e9) usual.push_back(apart[size_t(i)]);
  }
  const double middle = median_of(usual);
  for (int i = 0; i < n; ++i)
    strips[size_t(i)].likeness.surface =
        middle > 0 && apart[size_t(i)] < 1e9 ? apart[size_t(i)] / middle : 1;
}

// Each figure against what is usual in this stack.
void relate(std::vector<Interval>& strips) {
  for (double Likeness::*figure : {&Likeness::border, &Likeness::left_end, &Likeness::right_end}) {
    std::vector<double> all;
    for (const Interval& s : strips) all.push_back(s.likeness.*figure);
    const double usual = std::max(0.05, median_of(all));
    for (Interval& s : strips) s.likeness.*figure /= usual;
  }
}

}  // namespace

ModuleChain module_chain(const FaceMaps& maps, const Raster& raster,
                         const std::vector<Border>& borders, double strip, const ModuleSize& size) {
  const double thickness = apparent_thickness(borders, size.thickness);
  ModuleChain chain;
  std::vector<Interval>& strips = chain.strips;
  strips = intervals_of(borders, best_chain(borders, thickness), thickness);
  chain.left = find_end_line(maps, strips, true, 0);
  chain.right = find_end_line(maps, strips, false, strip);
  if (strips.size() > 1)
    for (const bool first : {true, false})
      add_beyond(maps, borders, first, thickness, strip, strips);
  for (Interval& one : strips) {
    const double y = (one.top + one.bottom) / 2;
    one.likeness.left_end =
        ridge_share(maps, FacePlane::left_end, chain.left.line.at(y), one.top, one.bottom);
    one.likeness.right_end =
        ridge_share(maps, FacePlane::right_end, chain.right.line.at(y), one.top, one.bottom);
    one.evidence = (one.likeness.border + one.likeness.left_end + one.likeness.right_end) / 3;
  }
  relate(strips);
  compare_surfaces(raster, strip, strips);
  compare_marks(maps, strip, strips);
  return chain;
}

}  // namespace plumbstack
