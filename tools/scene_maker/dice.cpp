#include "dice.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

namespace scene {

cv::Scalar shaded(const cv::Scalar& bgr, double factor) {
  cv::Scalar out;
  for (int c = 0; c < 3; ++c) out[c] = std::clamp(bgr[c] * factor, 0.0, 255.0);
  return out;
}

cv::Scalar Dice::near_color(const cv::Scalar& bgr, double spread) {
  const double together = normal(spread);
  cv::Scalar out;
  for (int c = 0; c < 3; ++c)
    out[c] = std::clamp(bgr[c] + together + normal(spread * 0.3), 0.0, 255.0);
  return out;
}

cv::Scalar Dice::any_color(double saturation) {
  const cv::Mat hsv(1, 1, CV_32FC3,
                    cv::Scalar(uniform(0, 360), saturation * uniform(0.2, 1), uniform(0.1, 1)));
  cv::Mat bgr;
  cv::cvtColor(hsv, bgr, cv::COLOR_HSV2BGR);
  const cv::Vec3f v = bgr.at<cv::Vec3f>(0, 0);
  return {v[0] * 255.0, v[1] * 255.0, v[2] * 255.0};
}

cv::Mat smooth_noise(Dice& dice, cv::Size size, double coarse_px, int octaves, double fall) {
  cv::Mat sum = cv::Mat::zeros(size, CV_32F);
  double weight = 1, total = 0, cell = coarse_px;
  for (int octave = 0; octave < octaves; ++octave, weight *= fall, cell /= 2) {
    const int width = std::max(2, static_cast<int>(size.width / std::max(cell, 1.0)) + 2);
    const int height = std::max(2, static_cast<int>(size.height / std::max(cell, 1.0)) + 2);
    cv::Mat grid(std::min(height, size.height + 2), std::min(width, size.width + 2), CV_32F), big;
    cv::RNG fill(static_cast<std::uint64_t>(dice.whole(1, 1 << 30)));
    fill.fill(grid, cv::RNG::UNIFORM, -1.0, 1.0);
    cv::resize(grid, big, size, 0, 0, cell > 3 ? cv::INTER_CUBIC : cv::INTER_LINEAR);
    sum += weight * big;
    total += weight;
  }
  return sum / total;
}

}  // namespace scene
