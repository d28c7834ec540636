// Logistic regression (weights fitted by tools/calibrate on drawn scenes not used in training) on
// how an outer interval compares with the others of its stack. The weight of the marks was fitted
// on later scenes than the others, with these held; with the networks of today a fit gives it -2.2,
// by which a plate that is like a module in all else would pass for one.
#include <algorithm>
#include <cmath>
#include <map>

#include "parts.hpp"

namespace plumbstack {

constexpr double kMostMarks = 0.6;  // who shows so much of its fellows' marks shows them

double module_probability(const Likeness& l) {
  const double ends = std::min(l.left_end, 1.5) + std::min(l.right_end, 1.5);
  const double unmarked = 1 - std::min(l.marks / kMostMarks, 1.0);
  const double log_odds = -3.05 + 4.09 * std::min(l.border, 1.5) + 2.82 * ends - 8.95 * l.misfit -
                          1.85 * std::log(std::clamp(l.surface, 0.5, 6.0)) - 5.9 * unmarked;
  return 1 / (1 + std::exp(-log_odds));
}

namespace {

constexpr std::size_t kMostDropped = 6;  // intervals at one end that may be no modules
constexpr double kOtherCount = 0.02;     // how often a stack has another count than its pack

// Likelihood that just the outer `n` intervals of one end are no modules, for n = 0, 1, ...
std::vector<double> drop_likelihoods(const std::vector<Interval>& strips, bool first) {
  const std::size_t most = std::min(kMostDropped, strips.size() / 2);
  std::vector<double> p;
  for (std::size_t i = 0; i < most; ++i)
    p.push_back(module_probability(strips[first ? i : strips.size() - 1 - i].likeness));
  std::vector<double> all;
  for (std::size_t n = 0; n <= most; ++n) {
    double likelihood = 1;
    for (std::size_t i = 0; i < most; ++i) likelihood *= i < n ? 1 - p[i] : p[i];
    all.push_back(likelihood);
  }
  return all;
}

}  // namespace

double trim_chain(std::vector<Interval>& strips, int expected) {
  const std::vector<double> top = drop_likelihoods(strips, true),
                            bottom = drop_likelihoods(strips, false);
  std::map<std::size_t, double> by_count;
  std::size_t from = 0, to = 0;
  double best = -1, sum = 0;
  for (std::size_t a = 0; a < top.size(); ++a)
    for (std::size_t b = 0; b < bottom.size(); ++b) {
      const std::size_t count = strips.size() - a - b;
      const double likelihood = top[a] * bottom[b];
      by_count[count] += likelihood, sum += likelihood;
      const double weighed =
          likelihood * (count == static_cast<std::size_t>(expected) ? 1 : kOtherCount);
      if (weighed > best) best = weighed, from = a, to = b;
    }
  strips.erase(strips.end() - static_cast<std::ptrdiff_t>(to), strips.end());
  strips.erase(strips.begin(), strips.begin() + static_cast<std::ptrdiff_t>(from));
  return sum > 0 ? by_count[strips.size()] / sum : 0;
}

}  // namespace plumbstack
