// Random choices of the scene maker, all from one seeded generator.
#pragma once

#include <initializer_list>
#include <opencv2/core.hpp>
#include <random>
#include <vector>

namespace scene {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}

  double uniform(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  double normal(double sd) { return std::normal_distribution<double>(0, sd)(engine_); }
  int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(engine_); }
  bool chance(double probability) { return uniform(0, 1) < probability; }
  template <typename T>
  T pick(std::initializer_list<T> options) {
    return *(options.begin() + whole(0, static_cast<int>(options.size()) - 1));
  }
  template <typename T>
  const T& pick(const std::vector<T>& options) {
    return options[static_cast<std::size_t>(whole(0, static_cast<int>(options.size()) - 1))];
  }
  std::mt19937_64& engine() { return engine_; }

  /// Colour around `bgr`, each channel and the whole varied by `spread` (0..255 levels, sd).
  cv::Scalar near_color(const cv::Scalar& bgr, double spread);
  cv::Scalar any_color(double saturation);

 private:
  std::mt19937_64 engine_;
};

/// Smooth noise, CV_32F, mean 0, about -1..1: octaves from `coarse_px` halving, each weaker by
/// `fall`.
cv::Mat smooth_noise(Dice& dice, cv::Size size, double coarse_px, int octaves, double fall = 0.5);

/// BGR level 0..255 clamp of a colour scaled by `factor`.
cv::Scalar shaded(const cv::Scalar& bgr, double factor);

}  // namespace scene
