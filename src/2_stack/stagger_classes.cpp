// Every other module is turned end for end, so a stack has two looks, alternating where it is
// right. Which strips look alike is asked of all pairs before any pattern is made: patterns of
// mixed classes would keep the mistake.
#include <algorithm>
#include <array>
#include <cmath>

#include "stagger.hpp"

namespace plumbstack {
namespace {

// Coarse enough for strips that lie only roughly; unit length, so that products are correlations.
cv::Mat looks(const AlignedStrips& strips, const Windows& windows, double px_per_mm) {
  constexpr double kBin = 1.5;  // mm
  const int bin = std::max(1, static_cast<int>(std::lround(kBin * px_per_mm)));
  const int from = windows.first, to = from + (windows.count + 1) * windows.block;
  cv::Mat all = cv::Mat::zeros(strips.change.rows, (to - from) / bin * kValues, CV_32F);
  for (int k = 0; k < all.rows; ++k) {
    const float* in = strips.change.ptr<float>(k) + from * kValues;
    float* out = all.ptr<float>(k);
    for (int i = 0; i < all.cols / kValues * bin; ++i, in += kValues)
      for (int v = 0; v < kValues; ++v) out[i / bin * kValues + v] += in[v];
    const double length = cv::norm(all.row(k));
    if (length > 0) all.row(k) /= length;
  }
  return all;
}

constexpr int kNear = 6;  // strips further apart lie on the view's slant, and look unlike by that

bool near(int i, int j) {
  return i != j && std::abs(i - j) <= kNear;
}

// Closer strips are more alike whatever their class. Distances are taken two by two, so that an
// alternating stack, alike at the even ones, keeps what tells its classes apart.
std::array<float, kNear / 2> usual_by_distance(const cv::Mat& pairs) {
  std::array<float, kNear / 2> sum{};
  std::array<float, kNear / 2> count{};
  for (int i = 0; i < pairs.rows; ++i)
    for (int j = 0; j < pairs.cols; ++j)
      if (near(i, j)) {
        const auto step = static_cast<std::size_t>((std::abs(i - j) - 1) / 2);
        sum[step] += pairs.at<float>(i, j), count[step] += 1;
      }
  for (std::size_t s = 0; s < sum.size(); ++s) sum[s] /= std::max(1.0F, count[s]);
  return sum;
}

// How much more alike two strips are than strips so far apart usually are, and than each of the two
// usually is; 0 where far.
cv::Mat likeness_of_near(const cv::Mat& pairs) {
  const int n = pairs.rows;
  const auto usual = usual_by_distance(pairs);
  cv::Mat like = cv::Mat::zeros(n, n, CV_32F);
  std::vector<float> own;
  for (int i = 0; i < n; ++i) {
    float sum = 0, count = 0;
    for (int j = 0; j < n; ++j)
      if (near(i, j)) {
        like.at<float>(i, j) =
            pairs.at<float>(i, j) - usual[static_cast<std::size_t>((std::abs(i - j) - 1) / 2)];
        sum += like.at<float>(i, j), count += 1;
      }
    own.push_back(sum / std::max(1.0F, count));
  }
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j)
      if (near(i, j))
        like.at<float>(i, j) -=
            (own[static_cast<std::size_t>(i)] + own[static_cast<std::size_t>(j)]) / 2;
  return like;
}

// Mean likeness between two runs of strips under their classes: below zero they should differ.
double accord(const cv::Mat& like, const std::vector<int>& classes, cv::Range a, cv::Range b) {
  double sum = 0;
  int count = 0;
  for (int i = a.start; i < a.end; ++i)
    for (int j = b.start; j < b.end; ++j) {
      if (!near(i, j)) continue;
      const bool same =
          classes[static_cast<std::size_t>(i)] == classes[static_cast<std::size_t>(j)];
      sum += static_cast<double>(same ? like.at<float>(i, j) : -like.at<float>(i, j)), ++count;
    }
  return count ? sum / count : 0;
}

// Turns single strips, and all strips after a place, as long as that makes like strips of a class
// clearly more alike.
std::vector<int> settled(const cv::Mat& like, std::vector<int> classes) {
  constexpr double kClearly = 0.015;
  const int n = like.rows;
  const auto turn = [&](cv::Range some) {
    for (int i = some.start; i < some.end; ++i)
      classes[static_cast<std::size_t>(i)] = 1 - classes[static_cast<std::size_t>(i)];
  };
  bool moved = true;
  for (int round = 0; round < 10 && moved; ++round) {
    moved = false;
    for (int k = 0; k < n; ++k) {
      if (accord(like, classes, {k, k + 1}, {0, n}) < -kClearly) turn({k, k + 1}), moved = true;
      if (k > 0 && accord(like, classes, {0, k}, {k, n}) < -kClearly) turn({k, n}), moved = true;
    }
  }
  return classes;
}

}  // namespace

std::vector<int> first_classes(const StripRows& rows, const std::vector<double>& shifts_mm,
                               const Windows& windows) {
  const cv::Mat all = looks(align(rows, shifts_mm), windows, rows.px_per_mm);
  const cv::Mat pairs = all * all.t();
  std::vector<int> alternating;
  for (int k = 0; k < rows.strips(); ++k) alternating.push_back(k % 2);
  const cv::Mat like = likeness_of_near(pairs);
  const std::vector<int> classes = settled(like, alternating);
  const cv::Range all_strips(0, rows.strips());
  // Light, dirt and the view's slant also make strips alike: then by little, or the near ones.
  constexpr double kBetter = 0.03;
  int changes = 0;
  for (std::size_t k = 1; k < classes.size(); ++k) changes += classes[k] != classes[k - 1];
  const bool clear = accord(like, classes, all_strips, all_strips) >
                     accord(like, alternating, all_strips, all_strips) + kBetter;
  return clear && 4 * changes >= rows.strips() ? classes : alternating;
}

}  // namespace plumbstack
