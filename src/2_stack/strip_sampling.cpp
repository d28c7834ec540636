#include "strip_sampling.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <opencv2/imgproc.hpp>

namespace plumbstack {

Source averaged(const cv::Mat& photo, double ratio) {
  Source source{photo, 1};
  for (; ratio > 1.6; ratio /= 2, source.shrink /= 2)
    cv::resize(source.pixels, source.pixels, {}, 0.5, 0.5, cv::INTER_AREA);
  return source;
}

cv::Mat cut(const Source& source, const PlaneView& view, const Lattice& lattice) {
  constexpr int kAlong = 16, kAcross = 4;  // the map is smooth: worked out on a grid
  cv::Mat grid(lattice.rows / kAcross + 2, lattice.samples / kAlong + 2, CV_32FC2), map, out;
  for (int j = 0; j < grid.rows; ++j)
    for (int i = 0; i < grid.cols; ++i) {
      const cv::Point2d p = view.to_photo(lattice.origin + lattice.along * (i * kAlong) +
                                          lattice.across * (j * kAcross));
      grid.at<cv::Vec2f>(j, i) = {static_cast<float>((p.x + 0.5) * source.shrink - 0.5),
                                  static_cast<float>((p.y + 0.5) * source.shrink - 0.5)};
    }
  const cv::Matx23d stretch(1.0 / kAlong, 0, 0, 0, 1.0 / kAcross, 0);
  cv::warpAffine(grid, map, stretch, {lattice.samples, lattice.rows},
                 cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  cv::remap(source.pixels, out, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  return out;
}

std::vector<float> log_bands(const cv::Mat& pixels, int sub) {
  const int bands = pixels.rows / sub, values = 3 * bands;
  std::vector<float> mean(static_cast<std::size_t>(pixels.cols * values), 0.0F);
  for (int y = 0; y < bands * sub; ++y) {
    const std::uint8_t* in = pixels.ptr(y);
    float* out = mean.data() + 3 * (y / sub);
    for (int x = 0; x < pixels.cols; ++x, in += 3, out += values)
      for (int c = 0; c < 3; ++c) out[c] += static_cast<float>(in[c]);
  }
  constexpr float kDark = 12;  // grey levels added: noise of dark pixels is not structure
  for (float& v : mean) v = std::log(v / static_cast<float>(sub) + kDark);
  return mean;
}

void slope(const std::vector<float>& level, int values, double px_per_mm, float* out) {
  constexpr int kReach = 4;
  static const std::array<float, kReach + 1> kernel = [] {
    std::array<float, kReach + 1> k{};
    double sum = 0;
    const auto bell = [](int i) { return std::abs(i) > 3 ? 0.0 : std::exp(-i * i / 1.28); };
    for (int i = -3; i <= 3; ++i) sum += bell(i);
    for (int i = 0; i <= kReach; ++i)
      k[static_cast<std::size_t>(i)] = static_cast<float>((bell(i - 1) - bell(i + 1)) / 2 / sum);
    return k;
  }();
  const int total = static_cast<int>(level.size()), samples = total / values;
  std::fill(out, out + total, 0.0F);
  const int from = kReach * values, to = (samples - kReach) * values;
  for (int r = 1; r <= kReach; ++r) {
    const float weight = kernel[static_cast<std::size_t>(r)] * static_cast<float>(px_per_mm);
    const float *ahead = level.data() + r * values, *behind = level.data() - r * values;
    for (int i = from; i < to; ++i) out[i] += weight * (ahead[i] - behind[i]);
  }
}

void clip(float* values, int count) {
  std::vector<float> size;
  for (int i = 0; i < count; i += 7) size.push_back(std::abs(values[i]));
  const auto middle = size.begin() + static_cast<std::ptrdiff_t>(size.size() / 2);
  std::nth_element(size.begin(), middle, size.end());
  const float most = 8 * *middle + 0.3F;
  for (int i = 0; i < count; ++i) values[i] = std::clamp(values[i], -most, most);
}

}  // namespace plumbstack
