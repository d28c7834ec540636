// Which of all places a strip lies at: its pattern may be laid on the wrong rib, or be of another
// mould; each end may be seen wrong. What the windows find, what the ends say and that modules
// stand in line are weighed as probabilities, place by place.
#include <algorithm>
#include <cmath>

#include "plumbstack/base/in_parallel.hpp"
#include "stagger.hpp"

namespace plumbstack {

std::vector<double> together(const Scores& s, const std::vector<double>& usual) {
  constexpr double kMostAWindow = 8;  // log likelihood
  constexpr double kOverUsual = 1.5;  // of what the class usually reaches in a window
  constexpr double kUseful = 0.1;     // correlation that a class shows in a window
  std::vector<double> sum(static_cast<std::size_t>(s.shifts()), 0.0);
  for (int w = 0; w < s.windows; ++w) {
    const double q = usual[static_cast<std::size_t>(w)];
    if (q <= kUseful) continue;
    const double most =
        std::min(kMostAWindow, -kOverUsual * 0.5 *
                                   static_cast<double>(s.independent[static_cast<std::size_t>(w)]) *
                                   std::log(1 - q * q));
    for (int shift = -s.reach; shift <= s.reach; ++shift)
      sum[static_cast<std::size_t>(shift + s.reach)] +=
          std::min(most, s.log_likelihood(w, shift)) / 2;
  }
  return sum;
}

namespace {

double log_normal(double off, double sd) {
  return -0.5 * off * off / (sd * sd) - std::log(sd * std::sqrt(2 * CV_PI));
}

// Of a value that is mostly near, and at times anywhere.
double log_mostly(double off, double sd, double astray) {
  return std::log((1 - astray) * std::exp(log_normal(off, sd)) + astray / (2 * kRoughReach));
}

// Nearly all modules stand in line; each end may be seen wrong by itself.
double log_prior(const RoughStrip& rough, double shift) {
  constexpr double kInLine = 0.7, kEnd = 0.5;            // mm
  constexpr double kOutOfLine = 0.05, kEndAstray = 0.1;  // shares
  double sum = log_mostly(shift, kInLine, kOutOfLine);
  for (const auto& end : {rough.left, rough.right})
    if (end) sum += log_mostly(*end - shift, kEnd, kEndAstray);
  return sum;
}

}  // namespace

std::vector<Settled> settle_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                   const Windows& windows, const Found& found) {
  constexpr double kWorth = 0.5;         // of what the windows say: they share the pattern's faults
  constexpr double kOtherMould = 0.005;  // share of modules that the pattern says nothing of
  constexpr double kOwn = 1;             // mm: within this it is one and the same place
  const AlignedStrips aligned = align(rows, found.shifts);
  const Patterns patterns = make_patterns(aligned, found.classes);
  const int reach = static_cast<int>(std::lround(kRoughReach * rows.px_per_mm));
  std::vector<Scores> scores(strips.size());
  in_parallel(scores.size(), [&](std::size_t i) {
    const int k = static_cast<int>(i);
    scores[i] = score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k),
                      patterns.others.ptr<float>(k), windows, rows.samples, reach);
  });
  const std::vector<double> of_class[2] = {usual_correlations(scores, found.classes, 0),
                                           usual_correlations(scores, found.classes, 1)};
  std::vector<Settled> settled;
  for (std::size_t k = 0; k < scores.size(); ++k) {
    std::vector<double> p = together(scores[k], of_class[found.classes[k]]);
    const double most = *std::max_element(p.begin(), p.end());
    double sum = 0;
    for (double& one : p) sum += one = std::exp(kWorth * (one - most));
    const auto shift = [&](std::size_t i) {
      return found.shifts[k] + (static_cast<int>(i) - reach) / rows.px_per_mm;
    };
    for (std::size_t i = 0; i < p.size(); ++i)
      p[i] = ((1 - kOtherMould) * p[i] / sum + kOtherMould / static_cast<double>(p.size())) *
             std::exp(log_prior(strips[k], shift(i)));
    const double best =
        shift(static_cast<std::size_t>(std::max_element(p.begin(), p.end()) - p.begin()));
    double all = 0, elsewhere = 0;
    for (std::size_t i = 0; i < p.size(); ++i) {
      const double off = std::abs(shift(i) - best);
      all += p[i];
      if (off > kOwn) elsewhere += p[i] * off * off;
    }
    const bool the_same = std::abs(best - found.shifts[k]) < 1.5 / rows.px_per_mm;
    settled.push_back({the_same ? found.shifts[k] : best, std::sqrt(elsewhere / all)});
  }
  return settled;
}

}  // namespace plumbstack
