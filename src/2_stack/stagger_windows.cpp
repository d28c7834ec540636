// Each window reads the strip's shift by itself; how far the windows of a strip differ is what its
// standard deviation is made from.
#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "plumbstack/base/in_parallel.hpp"
#include "stagger.hpp"

namespace plumbstack {
namespace {

constexpr double kReach = 1.2;     // mm
constexpr double kSure = 0.4;      // correlation from which a window speaks for itself
constexpr double kUseful = 0.1;    // correlation that a class shows where there is anything to see
constexpr double kSeen = 0.6;      // share that is not hidden
constexpr double kWidestSd = 0.4;  // mm
constexpr int kThirds = 3;

struct Peak {
  double shift = 0, bend = 0;
  bool inside = false;
};

template <typename Values>
Peak peak(const Values& value, int reach) {
  int best = -reach;
  for (int s = -reach; s <= reach; ++s)
    if (value(s) > value(best)) best = s;
  if (best == -reach || best == reach) return {};
  const double before = value(best - 1), at = value(best), after = value(best + 1);
  const double bend = before - 2 * at + after;
  if (bend >= -1e-9) return {};
  return {best + std::clamp(0.5 * (before - after) / bend, -1.0, 1.0), -bend, true};
}

Reading reading_of(const Peak& p, double now, double px_per_mm, double wider) {
  Reading r;
  if (!p.inside) return r;
  r.mm = now + p.shift / px_per_mm;
  r.sd = wider / std::sqrt(p.bend) / px_per_mm;
  r.valid = r.sd < kWidestSd;
  return r;
}

std::vector<Reading> read_strip(const Scores& s, const std::vector<double>& usual, double now,
                                double px_per_mm) {
  constexpr double kMostWeak = 3;
  std::vector<Reading> readings(static_cast<std::size_t>(s.windows + kThirds));
  std::vector<std::vector<double>> weak(kThirds,
                                        std::vector<double>(static_cast<std::size_t>(s.shifts())));
  for (int w = 0; w < s.windows; ++w) {
    const auto i = static_cast<std::size_t>(w);
    if (static_cast<double>(s.seen[i]) < kSeen || usual[i] <= kUseful) continue;
    const Peak p = peak([&](int shift) { return s.log_likelihood(w, shift); }, s.reach);
    Reading r = reading_of(p, now, px_per_mm, 1);
    const bool sure = r.valid && usual[i] > 2 * kUseful &&
                      static_cast<double>(s.at(w, static_cast<int>(std::lround(p.shift)))) > kSure;
    if (sure) {
      readings[i] = r;
      continue;
    }
    const double most = std::min(kMostWeak, -0.75 * static_cast<double>(s.independent[i]) *
                                                std::log(1 - usual[i] * usual[i]));
    for (int shift = -s.reach; shift <= s.reach; ++shift)
      weak[static_cast<std::size_t>(w * kThirds / s.windows)]
          [static_cast<std::size_t>(shift + s.reach)] +=
          std::min(most, s.log_likelihood(w, shift)) / 2;
  }
  const int near = std::min(s.reach, static_cast<int>(px_per_mm));
  for (std::size_t t = 0; t < kThirds; ++t)
    readings[static_cast<std::size_t>(s.windows) + t] = reading_of(
        peak([&](int shift) { return weak[t][static_cast<std::size_t>(shift + s.reach)]; }, near),
        now, px_per_mm, std::sqrt(2));
  return readings;
}

}  // namespace

std::vector<std::vector<Reading>> read_windows(const StripRows& rows, const Found& found,
                                               const Windows& windows) {
  const AlignedStrips aligned = align(rows, found.shifts);
  const Patterns patterns = make_patterns(aligned, found.classes);
  const int reach = static_cast<int>(std::lround(kReach * rows.px_per_mm)) + 1;
  std::vector<Scores> scores(static_cast<std::size_t>(rows.strips()));
  in_parallel(scores.size(), [&](std::size_t i) {
    const int k = static_cast<int>(i);
    scores[i] = score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k),
                      patterns.others.ptr<float>(k), windows, rows.samples, reach);
  });
  const std::vector<double> of_class[2] = {usual_correlations(scores, found.classes, 0),
                                           usual_correlations(scores, found.classes, 1)};
  std::vector<std::vector<Reading>> readings;
  for (std::size_t k = 0; k < scores.size(); ++k)
    readings.push_back(
        read_strip(scores[k], of_class[found.classes[k]], found.shifts[k], rows.px_per_mm));
  return readings;
}

}  // namespace plumbstack
