#include "stagger.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "line_fit.hpp"

namespace plumbstack {
namespace {

constexpr double kFloor = 0.04;  // mm: two windows of one strip never agree better than this

double spread_of(const std::vector<double>& values) {
  const double middle = median_of(values);
  std::vector<double> off;
  for (double v : values) off.push_back(std::abs(v - middle));
  return 1.4826 * median_of(off);
}

// A column's own slant (what the view is off by at its place) and extra scatter.
struct Column {
  Line slant;
  double extra = 0;
};

using Table = std::vector<std::vector<Reading>>;

Column column_of(const Table& table, std::size_t c, const std::vector<double>& shifts,
                 const std::vector<double>& along) {
  constexpr double kFew = 0.15;  // mm, where too few strips show the column to tell
  std::vector<cv::Point2d> off;
  std::vector<double> sds, residuals;
  for (std::size_t k = 0; k < table.size(); ++k)
    if (table[k][c].valid)
      off.emplace_back(along[k], table[k][c].mm - shifts[k]), sds.push_back(table[k][c].sd);
  if (off.size() < 5) return {{}, kFew};
  Column column{robust_line(off), 0};
  const double own = median_of(sds);
  column.extra =
      std::sqrt(std::max(0.0, column.slant.residual_sd * column.slant.residual_sd - own * own));
  return column;
}

struct Weighed {
  double mm = 0, weight = 0;
};

double weighted_median(std::vector<Weighed> all) {
  std::sort(all.begin(), all.end(), [](const Weighed& a, const Weighed& b) { return a.mm < b.mm; });
  double half = 0;
  for (const Weighed& w : all) half += w.weight / 2;
  for (const Weighed& w : all)
    if ((half -= w.weight) <= 0) return w.mm;
  return all.back().mm;
}

double kept(const Weighed& w, double shift) {  // Tukey's biweight at four deviations
  const double u = (w.mm - shift) * (w.mm - shift) * w.weight / 16;
  return u < 1 ? (1 - u) * (1 - u) : 0;
}

double settle(const std::vector<Weighed>& all, double shift) {
  for (int i = 0; i < 3; ++i) {
    double sum = 0, moment = 0;
    for (const Weighed& w : all)
      sum += w.weight * kept(w, shift), moment += w.weight * kept(w, shift) * w.mm;
    if (sum > 0) shift = moment / sum;
  }
  return shift;
}

std::vector<Weighed> weighed(const std::vector<Reading>& row, const std::vector<Column>& columns,
                             double along) {
  std::vector<Weighed> all;
  for (std::size_t c = 0; c < row.size(); ++c)
    if (row[c].valid)
      all.push_back(
          {row[c].mm - columns[c].slant.at(along),
           1 / (row[c].sd * row[c].sd + kFloor * kFloor + columns[c].extra * columns[c].extra)});
  return all;
}

// From what was kept, and from what was not: when much had to be thrown out, perhaps the wrong part
// was.
double deviation(const std::vector<Weighed>& all, double shift) {
  double sum = 0, used = 0, chi = 0, lost = 0, lost_by = 0;
  for (const Weighed& w : all) {
    const double k = kept(w, shift), off = std::abs(w.mm - shift);
    sum += w.weight, used += w.weight * k;
    chi += w.weight * std::min(9.0, off * off * w.weight);
    lost += w.weight * (1 - k), lost_by += w.weight * (1 - k) * std::min(off, 2.0);
  }
  if (used <= 0) return 2;
  constexpr double kUsual = 0.3;  // share that is lost to writing and dirt where all is well
  const double doubt = std::max(0.0, lost / sum - kUsual) / 0.5 * (lost > 0 ? lost_by / lost : 0);
  // Windows overlap by half: each counts for half a measurement.
  return std::sqrt(2 * std::max(0.5, chi / sum) / used + doubt * doubt);
}

}  // namespace

Agreed agree(Table table, const std::vector<double>& start, const std::vector<double>& along) {
  const std::size_t count = table.front().size();
  Agreed agreed{start, std::vector<double>(start.size(), 2.0)};
  std::vector<Column> columns(count);
  for (int round = 0; round < 5; ++round) {
    for (std::size_t k = 0; k < table.size(); ++k) {
      const std::vector<Weighed> all = weighed(table[k], columns, along[k]);
      if (all.empty()) continue;
      agreed.shifts[k] = settle(all, round ? agreed.shifts[k] : weighted_median(all));
      agreed.sds[k] = deviation(all, agreed.shifts[k]);
    }
    for (std::size_t c = 0; c < count && round < 4; ++c)
      columns[c] = column_of(table, c, agreed.shifts, along);
  }
  return agreed;
}

namespace {

struct Guess {
  double mm, sd;
};

// Where class 1's outline at an end lies on class 0's.
std::optional<Guess> offset_at_end(const StripRows& rows, const Patterns& patterns, double end) {
  constexpr double kHalf = 7, kReach = 1.5;  // mm
  Windows window;
  window.block = std::max(1, static_cast<int>(kHalf * rows.px_per_mm));
  window.first = rows.sample_at(end) - window.block;
  window.count = 1;
  const std::vector<std::uint8_t> open(static_cast<std::size_t>(rows.samples), 0);
  const Scores s =
      score(patterns.of_class[1].ptr<float>(), open.data(), patterns.of_class[0].ptr<float>(),
            window, rows.samples, static_cast<int>(std::lround(kReach * rows.px_per_mm)));
  int best = 0;
  for (int i = -s.reach; i <= s.reach; ++i)
    if (s.at(0, i) > s.at(0, best)) best = i;
  if (std::abs(best) == s.reach || s.at(0, best) < 0.6F) return std::nullopt;
  const double before = static_cast<double>(s.at(0, best - 1)),
               at = static_cast<double>(s.at(0, best)),
               after = static_cast<double>(s.at(0, best + 1));
  const double part = 0.5 * (before - after) / std::min(-1e-9, before - 2 * at + after);
  return Guess{(best + part) / rows.px_per_mm, 0.05 + 0.9 * (1 - at)};
}

}  // namespace

Offset class_offset(const StripRows& rows, const Found& found, const std::vector<double>& along,
                    double strip_mm) {
  std::vector<cv::Point2d> points;
  for (std::size_t k = 0; k < along.size(); ++k) points.emplace_back(along[k], found.shifts[k]);
  const Line line = robust_line(points);
  std::array<std::vector<double>, 2> off;
  for (std::size_t k = 0; k < along.size(); ++k)
    off[static_cast<std::size_t>(found.classes[k])].push_back(found.shifts[k] - line.at(along[k]));
  if (std::min(off[0].size(), off[1].size()) < 2) return {};
  const auto of_median = [](const std::vector<double>& v) {
    return 1.25 * spread_of(v) / std::sqrt(static_cast<double>(v.size()));
  };
  std::vector<Guess> guesses{{median_of(off[0]) - median_of(off[1]),
                              std::max(0.05, std::hypot(of_median(off[0]), of_median(off[1])))}};
  const Patterns patterns = make_patterns(align(rows, found.shifts), found.classes);
  for (double end : {0.0, strip_mm})
    if (const auto guess = offset_at_end(rows, patterns, end)) guesses.push_back(*guess);
  double mm = guesses.front().mm, sum = 1, scatter = 0;
  for (int round = 0; round < 6; ++round) {
    double moment = 0;
    sum = scatter = 0;
    for (const Guess& g : guesses) {  // Student's t: outlines may differ between the classes
      const double w = 1 / (g.sd * g.sd + (g.mm - mm) * (g.mm - mm) / 3);
      sum += w, moment += w * g.mm, scatter += w * (g.mm - mm) * (g.mm - mm);
    }
    mm = moment / sum;
  }
  return {mm, std::sqrt(1 / sum + scatter / sum / static_cast<double>(guesses.size()))};
}

namespace {

// Sampling, and blur beyond it: where all is smeared, neighbours are seen in each other.
double least_deviation(const StripRows& rows) {
  constexpr double kSharp = 2.2;  // samples: width of an edge in a sharp photo
  return 0.02 + 0.04 / rows.px_per_mm +
         0.15 * std::max(0.0, rows.edge_mm - kSharp / rows.px_per_mm);
}

// Of the line at each strip, as in linear regression, where the strips scatter by `spread` about
// it; a robust line is a quarter wider, and with few degrees of freedom so is what one deviation
// means (Student's t: 1.84, 1.32, 1.20 of a normal one with one, two and three).
std::vector<double> line_deviations(const std::vector<double>& along, double spread) {
  const auto n = static_cast<double>(along.size());
  constexpr double kNothingKnown = 2;  // mm
  if (n < 3) return std::vector<double>(along.size(), kNothingKnown);
  const double mean = std::accumulate(along.begin(), along.end(), 0.0) / n;
  double squares = 0;
  for (const double x : along) squares += (x - mean) * (x - mean);
  std::vector<double> sds;
  const double few = 1 + 0.64 / (n - 2);
  for (const double x : along)
    sds.push_back(1.25 * few * spread * std::sqrt(n / (n - 2)) *
                  std::sqrt(1 / n + (x - mean) * (x - mean) / squares));
  return sds;
}

}  // namespace

std::vector<Stagger> measure_stagger(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                     double strip_mm) {
  constexpr double kWandering = 0.3;  // mm: what the windows may find off the place they were told
  const Windows windows = lay_windows(rows, strip_mm);
  std::vector<double> along;
  for (const RoughStrip& s : strips) along.push_back((s.top + s.bottom) / 2);
  Found found = find_shifts(rows, strips, windows);
  const std::vector<Settled> settled = settle_shifts(rows, strips, windows, found);
  for (std::size_t k = 0; k < strips.size(); ++k)
    found.shifts[k] = settled[k].shift, found.classes[k] = settled[k].way;
  Agreed agreed;
  for (int round = 0; round < 2; ++round) {
    Table table = read_windows(rows, found, windows);
    for (std::size_t k = 0; k < strips.size(); ++k) {
      const RoughStrip& rough = strips[k];
      const bool borne_out = std::abs(rough.shift - settled[k].shift) < 3 * rough.shift_sd;
      table[k].push_back({rough.shift, rough.shift_sd, borne_out});
    }
    agreed = agree(std::move(table), found.shifts, along);
    found.shifts = agreed.shifts;
  }
  for (std::size_t k = 0; k < strips.size(); ++k) {
    const double moved = std::abs(agreed.shifts[k] - settled[k].shift);
    agreed.sds[k] = std::hypot(agreed.sds[k], settled[k].doubt, std::max(0.0, moved - kWandering));
  }
  const Offset offset = class_offset(rows, found, along, strip_mm);
  std::vector<cv::Point2d> points;
  for (std::size_t k = 0; k < strips.size(); ++k) {
    if (found.classes[k] == 1) found.shifts[k] += offset.mm;
    points.emplace_back(along[k], found.shifts[k]);
  }
  const Line line = robust_line(points);
  std::vector<double> off;
  for (const cv::Point2d& p : points) off.push_back(p.y - line.at(p.x));
  const std::vector<double> line_sds = line_deviations(along, spread_of(off));
  std::vector<Stagger> stagger;
  for (std::size_t k = 0; k < strips.size(); ++k) {
    // Half the offset goes to either class once the line is drawn through both.
    const double common = std::hypot(line_sds[k], offset.sd / 2, least_deviation(rows));
    stagger.push_back(
        {off[k], std::hypot(agreed.sds[k], common), found.shifts[k], found.classes[k]});
  }
  return stagger;
}

}  // namespace plumbstack
