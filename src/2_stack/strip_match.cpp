#include "strip_match.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "line_fit.hpp"

namespace plumbstack {
namespace {

// Catmull-Rom along the strip: dst at sample i is src at i + shift.
void moved(const float* src, float* dst, int samples, double shift) {
  const int whole = static_cast<int>(std::floor(shift));
  const float t = static_cast<float>(shift - whole);
  const std::array<float, 4> w = {0.5F * t * (-1 + t * (2 - t)), 1 + 0.5F * t * t * (-5 + 3 * t),
                                  0.5F * t * (1 + t * (4 - 3 * t)), 0.5F * t * t * (t - 1)};
  const int from = std::max(0, 1 - whole), to = std::min(samples, samples - 2 - whole);
  std::fill(dst, dst + samples * kValues, 0.0F);
  for (int i = from * kValues; i < to * kValues; ++i) {
    const float* s = src + i + whole * kValues;
    dst[i] = w[0] * s[-kValues] + w[1] * s[0] + w[2] * s[kValues] + w[3] * s[2 * kValues];
  }
}

// A plain sum waits for each addition; eight in turn do not.
float dot(const float* a, const float* b, int count) {
  std::array<float, 8> sum{};
  int i = 0;
  for (; i + 8 <= count; i += 8)
    for (std::size_t j = 0; j < 8; ++j)
      sum[j] += a[i + static_cast<int>(j)] * b[i + static_cast<int>(j)];
  for (; i < count; ++i) sum[0] += a[i] * b[i];
  return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}

// Strips of one class drawn in to within 1.5 mean deviations of their mean, twice.
struct Drawn {
  std::vector<cv::Mat> strips;
  cv::Mat sum, count;
};

cv::Mat quotient(const cv::Mat& sum, const cv::Mat& count) {
  return sum / cv::max(count, 1);
}

Drawn drawn_in(const AlignedStrips& all, const std::vector<int>& members) {
  Drawn drawn;
  drawn.count = cv::Mat::zeros(1, all.change.cols, CV_32F);
  drawn.sum = drawn.count.clone();
  for (const int k : members) {
    drawn.strips.push_back(all.change.row(k).clone());
    float* count = drawn.count.ptr<float>();
    for (int x = 0; x < all.hidden.cols; ++x)
      if (!all.hidden.at<std::uint8_t>(k, x))
        for (int v = 0; v < kValues; ++v) count[x * kValues + v] += 1;
    drawn.sum += drawn.strips.back();
  }
  for (int round = 0; round < 2; ++round) {
    const cv::Mat mean = quotient(drawn.sum, drawn.count);
    cv::Mat spread = cv::Mat::zeros(mean.size(), CV_32F);
    for (const cv::Mat& s : drawn.strips) spread += cv::abs(s - mean);
    spread = 1.5 * quotient(spread, drawn.count) + 0.02;
    const cv::Mat low = mean - spread, high = mean + spread;
    drawn.sum.setTo(0);
    for (std::size_t m = 0; m < members.size(); ++m) {
      cv::Mat& s = drawn.strips[m];
      s = cv::min(cv::max(s, low), high);
      for (int x = 0; x < all.hidden.cols; ++x)  // the hidden stay out, whatever the bounds
        if (all.hidden.at<std::uint8_t>(members[m], x))
          std::fill_n(s.ptr<float>() + x * kValues, kValues, 0.0F);
      drawn.sum += s;
    }
  }
  return drawn;
}

}  // namespace

AlignedStrips align(const StripRows& rows, const std::vector<double>& shifts_mm) {
  AlignedStrips out{cv::Mat(rows.change.size(), CV_32F),
                    cv::Mat(rows.hidden.size(), CV_8U, cv::Scalar(255))};
  for (int k = 0; k < rows.strips(); ++k) {
    const double shift = shifts_mm[static_cast<std::size_t>(k)] * rows.px_per_mm;
    moved(rows.change.ptr<float>(k), out.change.ptr<float>(k), rows.samples, shift);
    const int whole = static_cast<int>(std::lround(shift));
    for (int x = std::max(0, -whole); x < std::min(rows.samples, rows.samples - whole); ++x)
      out.hidden.at<std::uint8_t>(k, x) = rows.hidden.at<std::uint8_t>(k, x + whole);
    for (int x = 0; x < rows.samples; ++x)
      if (out.hidden.at<std::uint8_t>(k, x))
        std::fill_n(out.change.ptr<float>(k) + x * kValues, kValues, 0.0F);
  }
  return out;
}

Patterns make_patterns(const AlignedStrips& strips, const std::vector<int>& classes) {
  Patterns patterns;
  patterns.others = cv::Mat::zeros(strips.change.size(), CV_32F);
  for (int which = 0; which < 2; ++which) {
    std::vector<int> members;
    for (std::size_t k = 0; k < classes.size(); ++k)
      if (classes[k] == which) members.push_back(static_cast<int>(k));
    const Drawn drawn = drawn_in(strips, members);
    patterns.of_class[which] = quotient(drawn.sum, drawn.count);
    for (std::size_t m = 0; m < members.size() && members.size() > 1; ++m) {
      cv::Mat count = drawn.count.clone();
      for (int x = 0; x < strips.hidden.cols; ++x)
        if (!strips.hidden.at<std::uint8_t>(members[m], x))
          for (int v = 0; v < kValues; ++v) count.at<float>(x * kValues + v) -= 1;
      cv::Mat others = quotient(drawn.sum - drawn.strips[m], count);
      others.copyTo(patterns.others.row(members[m]));
    }
  }
  return patterns;
}

Windows lay_windows(const StripRows& rows, double strip_mm) {
  constexpr double kBlock = 5, kBeyond = 6;  // mm
  Windows windows;
  windows.block = std::max(2, static_cast<int>(std::lround(kBlock * rows.px_per_mm)));
  windows.first = rows.sample_at(-kBeyond);
  windows.count = (rows.sample_at(strip_mm + kBeyond) - windows.first) / windows.block - 1;
  return windows;
}

double Scores::log_likelihood(int window, int shift) const {
  const double r = std::clamp(static_cast<double>(at(window, shift)), 0.0, 0.995);
  return -0.5 * static_cast<double>(independent[static_cast<std::size_t>(window)]) *
         std::log(1 - r * r);
}

namespace {

// Energy of the samples before each: a difference gives that of any run.
std::vector<double> energy_before(const float* strip, int samples) {
  std::vector<double> energy{0.0};
  for (int x = 0; x < samples; ++x)
    energy.push_back(energy.back() +
                     static_cast<double>(dot(strip + x * kValues, strip + x * kValues, kValues)));
  return energy;
}

}  // namespace

Scores score(const float* strip, const std::uint8_t* hidden, const float* pattern, const Windows& w,
             int samples, int reach) {
  constexpr float kShared = 6;  // colours and neighbouring samples repeat each other
  Scores scores;
  scores.windows = w.count, scores.reach = reach;
  scores.correlation.resize(static_cast<std::size_t>(w.count * scores.shifts()));
  const std::vector<double> energy = energy_before(strip, samples);
  const auto block = [&](const float* a, int shift, int b) {
    const int from = w.first + b * w.block;
    return dot(a + (from + shift) * kValues, pattern + from * kValues, w.block * kValues);
  };
  std::vector<float> own, open;
  for (int b = 0; b <= w.count; ++b) {
    own.push_back(block(pattern, 0, b));
    const std::uint8_t* from = hidden + w.first + b * w.block;
    open.push_back(static_cast<float>(std::count(from, from + w.block, 0)));
  }
  for (std::size_t i = 0; i < static_cast<std::size_t>(w.count); ++i) {
    scores.seen.push_back((open[i] + open[i + 1]) / static_cast<float>(2 * w.block));
    scores.independent.push_back((open[i] + open[i + 1]) * kValues / kShared);
  }
  for (int s = -reach; s <= reach; ++s) {
    float before = block(strip, s, 0);
    for (int i = 0; i < w.count; ++i) {
      const float after = block(strip, s, i + 1);
      const std::size_t from = static_cast<std::size_t>(w.first + i * w.block + s);
      const double power = energy[from + static_cast<std::size_t>(2 * w.block)] - energy[from];
      const double norm = std::sqrt(
          (power + 1e-6) * (static_cast<double>(own[static_cast<std::size_t>(i)]) +
                            static_cast<double>(own[static_cast<std::size_t>(i) + 1]) + 1e-6));
      scores.correlation[static_cast<std::size_t>(i * scores.shifts() + s + reach)] =
          static_cast<float>(static_cast<double>(before + after) / norm);
      before = after;
    }
  }
  return scores;
}

std::vector<double> usual_correlations(const std::vector<Scores>& scores,
                                       const std::vector<int>& classes, int which) {
  std::vector<double> of_window;
  for (int w = 0; w < scores.front().windows; ++w) {
    std::vector<double> values;
    for (std::size_t k = 0; k < scores.size(); ++k)
      if (classes[k] == which) values.push_back(static_cast<double>(scores[k].at(w, 0)));
    of_window.push_back(std::clamp(median_of(values), 0.0, 0.99));
  }
  return of_window;
}

}  // namespace plumbstack
