// Which of all places a strip lies at: its pattern may be laid on the wrong rib, or be of another
// mould; each end may be seen wrong. What the windows find, what the ends say and that modules
// stand in line are weighed as probabilities, place by place. How often each goes wrong, and by how
// much, is estimated (no source).
#include <algorithm>
#include <cmath>
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

// An end of a strip that stands off the line is seen where it is, or by habit somewhere on the way
// from the line to there, the likelier the nearer (as often, on drawn stacks), or elsewhere.
double log_end(double seen, double shift) {
  constexpr double kSd = 0.5;  // mm
  constexpr double kHabit = 0.45, kAstray = 0.05;
  constexpr int kSteps = 8;
  double on_the_way = 0;
  for (int i = 0; i < kSteps; ++i) {
    const double part = (i + 0.5) / kSteps;
    on_the_way += 2 * part / kSteps * std::exp(log_normal(seen - part * shift, kSd));
  }
  return std::log((1 - kHabit - kAstray) * std::exp(log_normal(seen - shift, kSd)) +
                  kHabit * on_the_way + kAstray / (2 * kRoughReach));
}

// Nearly all modules stand in line.
double log_prior(const RoughStrip& rough, double shift) {
  constexpr double kInLine = 0.7;  // mm
  constexpr double kOutOfLine = 0.01;
  double sum = log_mostly(shift, kInLine, kOutOfLine);
  for (const auto& end : {rough.left, rough.right})
    if (end) sum += log_end(*end, shift);
  return sum;
}

// What the patterns' fits are worth as probabilities; a row a way round, a column a place. A module
// of another mould has its panels a millimetre or two elsewhere, and at times something else fits.
cv::Mat with_faults(const cv::Mat& fits, double px_per_mm) {
  constexpr double kOtherMould = 0.005, kElsewhereMm = 1.5, kAnything = 0.0002;
  const double sigma = kElsewhereMm * px_per_mm;
  const cv::Mat likely = fits / cv::sum(fits)[0];
  cv::Mat spread;
  cv::GaussianBlur(likely, spread, {2 * cvRound(3 * sigma) + 1, 1}, sigma, 0, cv::BORDER_CONSTANT);
  return (1 - kOtherMould) * likely + kOtherMould * spread +
         kAnything / static_cast<double>(fits.total());
}

}  // namespace

std::vector<Settled> settle_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                   const Windows& windows, const Found& found) {
  constexpr double kWorth = 0.5;  // of what the windows say: they share the pattern's faults
  constexpr double kOwn = 1;      // mm: within this it is one and the same place
  const AlignedStrips aligned = align(rows, found.shifts);
  const Patterns patterns = make_patterns(aligned, found.classes);
  const int reach = static_cast<int>(std::lround(kRoughReach * rows.px_per_mm));
  std::vector<Scores> own(strips.size()), turned(strips.size());
  in_parallel(own.size(), [&](std::size_t i) {
    const int k = static_cast<int>(i);
    const auto on = [&](const float* pattern) {
      return score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k), pattern, windows,
                   rows.samples, reach);
    };
    own[i] = on(patterns.others.ptr<float>(k));
    turned[i] = on(patterns.of_class[1 - found.classes[i]].ptr<float>());
  });
  const std::vector<double> of_class[2] = {usual_correlations(own, found.classes, 0),
                                           usual_correlations(own, found.classes, 1)};
  std::vector<cv::Point2d> points;
  for (std::size_t k = 0; k < strips.size(); ++k)
    points.emplace_back((strips[k].top + strips[k].bottom) / 2, found.shifts[k]);
  const Line line = robust_line(points);  // the ends are given off theirs
  std::vector<Settled> settled;
  for (std::size_t k = 0; k < own.size(); ++k) {
    const int way = found.classes[k];
    cv::Mat p(0, own[k].shifts(), CV_64F);
    p.push_back(cv::Mat(together(own[k], of_class[way]), true).reshape(1, 1));
    p.push_back(cv::Mat(together(turned[k], of_class[1 - way]), true).reshape(1, 1));
    double highest = 0;
    cv::minMaxLoc(p, nullptr, &highest);
    cv::exp(kWorth * (p - highest), p);
    p = with_faults(p, rows.px_per_mm);
    const auto shift = [&](int i) { return found.shifts[k] + (i - reach) / rows.px_per_mm; };
    for (int i = 0; i < p.cols; ++i)
      p.col(i) *= std::exp(log_prior(strips[k], shift(i) - line.at(points[k].x)));
    cv::Point at;
    cv::minMaxLoc(p, nullptr, nullptr, nullptr, &at);
    double elsewhere = 0;
    for (int i = 0; i < p.cols; ++i) {
      const double off = std::abs(shift(i) - shift(at.x));
      if (off > kOwn) elsewhere += cv::sum(p.col(i))[0] * off * off;
    }
    const bool the_same =
        at.y == 0 && std::abs(shift(at.x) - found.shifts[k]) < 1.5 / rows.px_per_mm;
    settled.push_back({the_same ? found.shifts[k] : shift(at.x), at.y == 0 ? way : 1 - way,
                       std::sqrt(elsewhere / cv::sum(p)[0])});
  }
  return settled;
}

}  // namespace plumbstack
