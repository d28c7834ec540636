// Which of all places a strip lies at: its pattern may be laid on the wrong rib, or be of another
// mould; each end may be seen wrong. What the windows find, what the ends say and that modules
// stand in line are weighed as probabilities, place by place. How often each goes wrong, and by how
// much, is estimated (no source).
#include <algorithm>
#include <cmath>
#include <numeric>
#include <opencv2/imgproc.hpp>

#include "line_fit.hpp"
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

// What a pattern's fit at a place is worth as a probability of the strip's being there: a module of
// another mould has its panels a millimetre or two elsewhere, and at times something else fits.
std::vector<double> with_faults(const std::vector<double>& fit, double px_per_mm) {
  constexpr double kOtherMould = 0.005, kElsewhereMm = 1.5, kAnything = 0.0002;
  const cv::Mat fits =
      cv::Mat(fit, true).reshape(1, 1) / std::accumulate(fit.begin(), fit.end(), 0.0);
  cv::Mat spread;
  cv::GaussianBlur(fits, spread, {}, kElsewhereMm * px_per_mm, 0, cv::BORDER_CONSTANT);
  const cv::Mat all =
      (1 - kOtherMould) * fits + kOtherMould * spread + kAnything / static_cast<double>(fit.size());
  return {all.begin<double>(), all.end<double>()};
}

}  // namespace

std::vector<Settled> settle_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                   const Windows& windows, const Found& found) {
  constexpr double kWorth = 0.5;  // of what the windows say: they share the pattern's faults
  constexpr double kOwn = 1;      // mm: within this it is one and the same place
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
  std::vector<cv::Point2d> points;
  for (std::size_t k = 0; k < strips.size(); ++k)
    points.emplace_back((strips[k].top + strips[k].bottom) / 2, found.shifts[k]);
  const Line line = robust_line(points);  // the ends are given off theirs
  std::vector<Settled> settled;
  for (std::size_t k = 0; k < scores.size(); ++k) {
    std::vector<double> p = together(scores[k], of_class[found.classes[k]]);
    const double most = *std::max_element(p.begin(), p.end());
    for (double& one : p) one = std::exp(kWorth * (one - most));
    p = with_faults(p, rows.px_per_mm);
    const auto shift = [&](std::size_t i) {
      return found.shifts[k] + (static_cast<int>(i) - reach) / rows.px_per_mm;
    };
    for (std::size_t i = 0; i < p.size(); ++i)
      p[i] *= std::exp(log_prior(strips[k], shift(i) - line.at(points[k].x)));
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
