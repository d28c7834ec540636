// All modules are one moulding, so a strip is found by laying it on its fellows. The pattern is
// made anew each round, when the strips lie better.
#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "stagger.hpp"

namespace plumbstack {
namespace {

constexpr int kRounds = 4;
constexpr double kFirstReach = 2, kReach = 1;  // mm
constexpr double kMostAWindow = 8;             // log likelihood
constexpr double kOverUsual = 1.5;             // of what the class usually reaches in a window
constexpr double kUseful = 0.1;                // correlation that a class shows in a window

// The sum over the windows, shift by shift; windows overlap by half.
std::vector<double> together(const Scores& s, const std::vector<double>& usual) {
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

// The rough shift holds with a Student's t of three degrees: it may be far out.
double best_shift(std::vector<double> sum, int reach, double now, const RoughStrip& rough,
                  double px_per_mm) {
  for (int s = -reach; s <= reach; ++s) {
    const double off = (now + s / px_per_mm - rough.shift) / rough.shift_sd;
    sum[static_cast<std::size_t>(s + reach)] -= 2 * std::log(1 + off * off / 3);
  }
  const auto at = std::max_element(sum.begin(), sum.end());
  double part = 0;
  if (at != sum.begin() && at + 1 != sum.end()) {
    const double bend = *(at - 1) - 2 * *at + *(at + 1);
    if (bend < 0) part = 0.5 * (*(at - 1) - *(at + 1)) / bend;
  }
  return now + (static_cast<double>(at - sum.begin()) - reach + part) / px_per_mm;
}

}  // namespace

Found find_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                  const Windows& windows) {
  Found found;
  for (const RoughStrip& s : strips) found.shifts.push_back(s.shift);
  found.classes = first_classes(rows, found.shifts, windows);
  for (int round = 0; round < kRounds; ++round) {
    const AlignedStrips aligned = align(rows, found.shifts);
    const Patterns patterns = make_patterns(aligned, found.classes);
    const int reach =
        static_cast<int>(std::lround((round ? kReach : kFirstReach) * rows.px_per_mm));
    const auto scored = [&](int k, const float* pattern) {
      return score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k), pattern, windows,
                   rows.samples, reach);
    };
    std::vector<Scores> own;
    for (int k = 0; k < rows.strips(); ++k) own.push_back(scored(k, patterns.others.ptr<float>(k)));
    const std::vector<double> of_class[2] = {usual_correlations(own, found.classes, 0),
                                             usual_correlations(own, found.classes, 1)};
    std::vector<int> classes = found.classes;
    for (std::size_t k = 0; k < own.size(); ++k) {
      const auto mine = static_cast<std::size_t>(found.classes[k]), other = 1 - mine;
      std::vector<double> sum = together(own[k], of_class[mine]);
      if (round > 0 && round + 1 < kRounds) {  // a module that stands the wrong way round
        const std::vector<double> turned = together(
            scored(static_cast<int>(k), patterns.of_class[other].ptr<float>()), of_class[other]);
        if (*std::max_element(turned.begin(), turned.end()) >
            1.25 * *std::max_element(sum.begin(), sum.end()) + 0.5)
          sum = turned, classes[k] = static_cast<int>(other);
      }
      found.shifts[k] = best_shift(sum, reach, found.shifts[k], strips[k], rows.px_per_mm);
    }
    found.classes = classes;
  }
  return found;
}

}  // namespace plumbstack
