// The groove between two modules is dark, toothed and of any width, so its edges are poor marks.
// The modules' own outlines and features across the thickness are good ones: portion by portion
// along the side, each strip is laid on its fellows as for the stagger, but along y.
#include "centres.hpp"

#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "plumbstack/base/in_parallel.hpp"
#include "stagger.hpp"
#include "strip_sampling.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kPortions = 8;  // along the side
constexpr double kBorders = 0.5;      // mm: what the rough borders are good for
constexpr int kSubRows = 4;           // of a band
constexpr double kMargin = 4;         // mm beyond the strip's borders
constexpr double kRim = 0.4;    // mm beyond the borders that still belong to the module's look
constexpr double kReach = 1.5;  // mm, and half of what the borders leave open
constexpr double kFinest = 5;   // px/mm

// A portion of every strip, samples running along y from the strip's middle.
StripRows cut_portion(const Source& source, const PlaneView& view,
                      const std::vector<RoughStrip>& strips, double px_per_mm, double half,
                      cv::Vec2d x, const CoverTest& covered) {
  StripRows rows;
  rows.px_per_mm = px_per_mm;
  rows.from_mm = -half - kMargin;
  rows.samples = static_cast<int>(2 * (half + kMargin) * px_per_mm) + 1;
  const int count = static_cast<int>(strips.size());
  rows.change.create(count, rows.samples * kValues, CV_32F);
  rows.hidden = cv::Mat::zeros(count, rows.samples, CV_8U);
  const double step = (x[1] - x[0]) / (kBands * kSubRows);
  for (int k = 0; k < count; ++k) {
    const RoughStrip& s = strips[static_cast<std::size_t>(k)];
    const double middle = (s.top + s.bottom) / 2;
    const cv::Mat pixels = cut(source, view,
                               {{x[0] + step / 2, middle + rows.from_mm},
                                {0, 1 / px_per_mm},
                                {step, 0},
                                rows.samples,
                                kBands * kSubRows});
    slope(log_bands(pixels, kSubRows), kValues, px_per_mm, rows.change.ptr<float>(k));
    clip(rows.change.ptr<float>(k), rows.change.cols);
    int hits = 0;
    for (int i = 0; i < 5; ++i) hits += covered({x[0] + (x[1] - x[0]) * (i + 0.5) / 5, middle});
    if (hits > 2) rows.hidden.row(k).setTo(255);
  }
  return rows;
}

// Readings of one portion, one a strip, none further off than `reaches` (mm).
std::vector<Reading> read_portion(const StripRows& rows, const std::vector<double>& shifts,
                                  const std::vector<int>& ways, double half,
                                  const std::vector<double>& reaches) {
  Windows window;
  window.first = rows.sample_at(-half - kRim);
  window.block = (rows.sample_at(half + kRim) - window.first) / 2;
  window.count = 1;
  const AlignedStrips aligned = align(rows, shifts);
  const Patterns patterns = make_patterns(aligned, ways);
  std::vector<Reading> readings(shifts.size());
  for (int k = 0; k < rows.strips(); ++k) {
    const double reach_mm = reaches[static_cast<std::size_t>(k)];
    const int reach = static_cast<int>(std::lround(reach_mm * rows.px_per_mm));
    const Scores s = score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k),
                           patterns.others.ptr<float>(k), window, rows.samples, reach);
    int best = 0;
    for (int i = -reach; i <= reach; ++i)
      if (s.at(0, i) > s.at(0, best)) best = i;
    constexpr float kLeast = 0.3F;
    if (std::abs(best) == reach || s.at(0, best) < kLeast || s.seen.front() < 0.5F) continue;
    const double before = s.log_likelihood(0, best - 1), at = s.log_likelihood(0, best),
                 after = s.log_likelihood(0, best + 1), bend = before - 2 * at + after;
    if (bend >= -1e-9) continue;
    const double part = std::clamp(0.5 * (before - after) / bend, -1.0, 1.0);
    readings[static_cast<std::size_t>(k)] = {
        shifts[static_cast<std::size_t>(k)] + (best + part) / rows.px_per_mm,
        1 / std::sqrt(-bend) / rows.px_per_mm, true};
  }
  return readings;
}

// Both ways lie on one lattice: a step from way 0 to way 1 is usually as long as one back.
double way_offset(const std::vector<Centre>& centres, const std::vector<int>& ways) {
  std::vector<double> there, back;
  for (std::size_t k = 0; k + 1 < centres.size(); ++k)
    if (ways[k] != ways[k + 1])
      (ways[k] == 0 ? there : back).push_back(centres[k + 1].mm - centres[k].mm);
  if (there.size() < 2 || back.size() < 2) return 0;
  return (median_of(there) - median_of(back)) / 2;
}

}  // namespace

std::vector<Centre> measure_centres(const cv::Mat& photo, const PlaneView& view,
                                    const std::vector<RoughStrip>& strips,
                                    const std::vector<int>& ways, double strip_mm,
                                    const CoverTest& covered) {
  std::vector<double> thick, middles;
  for (const RoughStrip& s : strips)
    thick.push_back(s.bottom - s.top), middles.push_back((s.top + s.bottom) / 2);
  const double half = median_of(thick) / 2;
  // Of a strip between borders too far apart either may be the wrong one.
  std::vector<double> reaches;
  for (const double t : thick)
    reaches.push_back(std::min(kReach + std::abs(t / 2 - half), kMargin - kRim));
  const cv::Point2d at(strip_mm / 2, median_of(middles));
  const double seen = view.px_per_mm(at).y, px_per_mm = std::clamp(seen, 1.5, kFinest);
  const Source source = averaged(photo, seen / px_per_mm);
  std::vector<StripRows> portions(kPortions);
  in_parallel(kPortions, [&](std::size_t p) {
    const auto at_share = [&](double share) { return strip_mm * (double(p) + share) / kPortions; };
    portions[p] =
        cut_portion(source, view, strips, px_per_mm, half, {at_share(0.1), at_share(0.9)}, covered);
  });
  std::vector<double> shifts(strips.size(), 0.0);
  std::vector<Centre> centres(strips.size());
  for (int round = 0; round < 3; ++round) {
    std::vector<std::vector<Reading>> columns(kPortions), table(strips.size());
    in_parallel(kPortions, [&](std::size_t p) {
      columns[p] = read_portion(portions[p], shifts, ways, half, reaches);
    });
    for (const std::vector<Reading>& column : columns)
      for (std::size_t k = 0; k < column.size(); ++k) table[k].push_back(column[k]);
    for (std::size_t k = 0; k < table.size(); ++k) {
      centres[k].measured = std::any_of(table[k].begin(), table[k].end(),
                                        [](const Reading& reading) { return reading.valid; });
      table[k].push_back({0, kBorders, true});
    }
    shifts = agree(table, shifts, middles).shifts;
  }
  for (std::size_t k = 0; k < strips.size(); ++k) centres[k].mm = middles[k] + shifts[k];
  const double offset = way_offset(centres, ways);
  for (std::size_t k = 0; k < strips.size(); ++k)
    centres[k].mm += (ways[k] == 0 ? 0.5 : -0.5) * offset;
  return centres;
}

std::vector<std::optional<double>> gaps_between(const std::vector<Centre>& centres,
                                                const std::vector<RoughStrip>& strips,
                                                double spacer_mm) {
  std::vector<cv::Point2d> steps;
  std::vector<double> borders;
  for (std::size_t k = 0; k + 1 < centres.size(); ++k) {
    steps.emplace_back((centres[k].mm + centres[k + 1].mm) / 2, centres[k + 1].mm - centres[k].mm);
    borders.push_back(strips[k + 1].top - strips[k].bottom - spacer_mm);
  }
  std::vector<std::optional<double>> gaps;
  const auto add = [&](std::size_t k, double gap) {
    const bool measured = centres[k].measured && centres[k + 1].measured;
    const bool told = measured || gap < 2 * kBorders;
    gaps.push_back(told ? std::optional(std::max(0.0, gap)) : std::nullopt);
  };
  if (steps.size() < 4) {
    for (std::size_t k = 0; k < steps.size(); ++k) add(k, borders[k]);
    return gaps;
  }
  // What the view's scale is off by runs along the stack, so a line is what steps usually are; the
  // rough borders, each poor, say together how wide the gap is in a usual step.
  const Line line = robust_line(steps);
  std::vector<double> in_usual_step;
  for (std::size_t k = 0; k < steps.size(); ++k)
    in_usual_step.push_back(borders[k] - (steps[k].y - line.at(steps[k].x)));
  const double usual = std::max(0.0, median_of(in_usual_step));
  for (std::size_t k = 0; k < steps.size(); ++k) add(k, usual + steps[k].y - line.at(steps[k].x));
  return gaps;
}

}  // namespace plumbstack
