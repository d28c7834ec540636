// Edge blur from the ratio of an edge's slope at two scales. A step blurred by sigma s and looked
// at through a Gaussian of width a has its steepest slope in proportion to 1 / sqrt(s^2 + a^2),
// whatever its contrast. So with the squared ratio q of the slopes through a = 1 and b = 2 pixels
//
//   q = (s^2 + b^2) / (s^2 + a^2)   and   s^2 = (b^2 - q a^2) / (q - 1).
//
// Each edge gives its own estimate, so contrast and amount of texture cancel, as they do not in
// the variance of a Laplacian. An edge too soft for these widths is looked at in the halved
// picture.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFine = 1, kCoarse = 2;  // px, the two widths
constexpr int kReach = 6;                 // px, three times the wider
constexpr int kSearch = 2;                // px around a candidate
constexpr std::size_t kMostEdges = 300;   // the steepest of a picture; more change nothing
constexpr std::size_t kLeastEdges = 12;
constexpr double kSoftest = 2.5;      // px; beyond, the halved picture is asked
constexpr int kLeastSlope = 24;       // of Sobel's 8 per level: 3 levels a pixel of the halved
constexpr double kSlopeOfGround = 4;  // times the median slope: well over noise and texture

struct Candidate {
  int x, y, slope;
};

using Kernel = std::array<float, 2 * kReach + 1>;

Kernel slope_kernel(double width) {
  Kernel kernel{};
  double sum = 0;
  for (int k = -kReach; k <= kReach; ++k) {
    const double value = k * std::exp(-k * k / (2 * width * width));
    kernel[static_cast<std::size_t>(k + kReach)] = static_cast<float>(value);
    sum += k * value;
  }
  for (float& value : kernel) value = static_cast<float>(value / sum);  // slope 1 gives 1
  return kernel;
}

int median_slope(const cv::Mat& slopes) {
  std::array<int, 2048> counts{};
  int total = 0;
  for (int y = 0; y < slopes.rows; y += 2) {
    const short* row = slopes.ptr<short>(y);
    for (int x = 0; x < slopes.cols; x += 2, ++total)
      ++counts[static_cast<std::size_t>(std::min(2047, std::abs(int(row[x]))))];
  }
  int below = 0, slope = 0;
  while (slope < 2047 && (below += counts[static_cast<std::size_t>(slope)]) * 2 < total) ++slope;
  return slope;
}

// Steepest places of the halved picture: chosen there, so that fine noise has no say in the choice.
std::vector<Candidate> steepest(const cv::Mat& half) {
  cv::Mat slopes;
  cv::Sobel(half, slopes, CV_16S, 1, 0);
  const int least = std::max(kLeastSlope, static_cast<int>(kSlopeOfGround * median_slope(slopes)));
  std::vector<Candidate> found;
  for (int y = 1; y + 1 < slopes.rows; ++y) {
    const short* row = slopes.ptr<short>(y);
    for (int x = 1; x + 1 < slopes.cols; ++x) {
      const int slope = std::abs(int(row[x]));
      if (slope >= least && slope > std::abs(int(row[x - 1])) && slope >= std::abs(int(row[x + 1])))
        found.push_back({x, y, slope});
    }
  }
  if (found.size() > kMostEdges) {
    std::nth_element(found.begin(), found.begin() + kMostEdges, found.end(),
                     [](const Candidate& a, const Candidate& b) { return a.slope > b.slope; });
    found.resize(kMostEdges);
  }
  return found;
}

// Greatest slope near the middle of the profile, through one width, between the pixels.
double peak_slope(const std::array<float, 2 * (kReach + kSearch) + 1>& profile,
                  const Kernel& kernel, bool rising) {
  std::array<double, 2 * kSearch + 1> slopes{};
  for (std::size_t s = 0; s < slopes.size(); ++s) {
    double sum = 0;
    for (std::size_t k = 0; k < kernel.size(); ++k)
      sum += double(kernel[k]) * double(profile[s + k]);
    slopes[s] = rising ? sum : -sum;
  }
  const auto top =
      static_cast<std::size_t>(std::max_element(slopes.begin(), slopes.end()) - slopes.begin());
  if (top == 0 || top + 1 == slopes.size()) return 0;  // the flank of another edge
  const double before = slopes[top - 1], after = slopes[top + 1],
               bend = before - 2 * slopes[top] + after;
  return slopes[top] - (bend < 0 ? (before - after) * (before - after) / (8 * bend) : 0);
}

// Sigma of one edge; nullopt where it is no edge of its own.
std::optional<double> sigma_at(const cv::Mat& grey, const Candidate& at, bool rising) {
  static const Kernel fine = slope_kernel(kFine), coarse = slope_kernel(kCoarse);
  const int first = 2 * at.x - kReach - kSearch, y = 2 * at.y;
  std::array<float, 2 * (kReach + kSearch) + 1> profile{};
  if (first < 0 || first + static_cast<int>(profile.size()) > grey.cols || y + 1 >= grey.rows)
    return std::nullopt;
  const uchar *above = grey.ptr<uchar>(y) + first, *below = grey.ptr<uchar>(y + 1) + first;
  for (std::size_t i = 0; i < profile.size(); ++i) profile[i] = float(above[i]) + float(below[i]);
  const double g1 = peak_slope(profile, fine, rising), g2 = peak_slope(profile, coarse, rising);
  if (g1 <= 0 || g2 <= 0) return std::nullopt;
  const double q = (g1 / g2) * (g1 / g2);
  if (q <= 1) return 2 * kSoftest;
  return std::sqrt(std::max(0.0, (kCoarse * kCoarse - q * kFine * kFine) / (q - 1)));
}

}  // namespace

double edge_sigma(const cv::Mat& grey) {
  constexpr int kLeastSide = 2 * (kReach + kSearch) + 4;
  if (grey.cols < kLeastSide || grey.rows < 4) return 0;
  cv::Mat half;
  cv::resize(grey, half, {grey.cols / 2, grey.rows / 2}, 0, 0, cv::INTER_AREA);
  std::vector<double> sigmas;
  for (const Candidate& c : steepest(half)) {
    const bool rising = half.at<uchar>(c.y, c.x + 1) > half.at<uchar>(c.y, c.x - 1);
    if (const auto sigma = sigma_at(grey, c, rising)) sigmas.push_back(*sigma);
  }
  const auto softer = [&] {  // halving averages two pixels: a variance of a quarter pixel
    const double in_half = edge_sigma(half);
    return in_half > 0 ? std::sqrt(std::max(0.0, 4 * in_half * in_half - 0.25)) : 0;
  };
  if (sigmas.size() < kLeastEdges) return softer();
  const auto at = sigmas.begin() + static_cast<std::ptrdiff_t>(sigmas.size() / 4);
  std::nth_element(sigmas.begin(), at, sigmas.end());
  if (*at <= kSoftest) return *at;
  const double sigma = softer();
  return sigma > 0 ? sigma : *at;
}

}  // namespace plumbstack
