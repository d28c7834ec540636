#include "crop_legible.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace scene {

double weakest_digit(const cv::Mat& difference, const Frame& f, const Capture& c, int digits) {
  const cv::Mat seen = through_lens(difference, f.text_px, c);
  const double scale = static_cast<double>(seen.cols) / kCanvas.width;
  double weakest = 1;
  std::vector<float> values;
  for (int i = 0; i < digits; ++i) {
    const double left = f.centre.x + (static_cast<double>(i) / digits - 0.5) * f.width;
    const cv::Rect band(cvRound(left * scale), cvRound((f.centre.y - f.height / 2) * scale),
                        std::max(2, cvRound(f.width / digits * scale)),
                        std::max(2, cvRound(f.height * scale)));
    const cv::Rect on = band & cv::Rect({}, seen.size());
    values.clear();
    for (int y = on.y; y < on.br().y; ++y)
      values.insert(values.end(), seen.ptr<float>(y) + on.x, seen.ptr<float>(y) + on.br().x);
    if (values.empty()) return 0;
    const auto strong =
        values.begin() + static_cast<std::ptrdiff_t>(0.92 * static_cast<double>(values.size() - 1));
    std::nth_element(values.begin(), strong, values.end());
    weakest = std::min(weakest, static_cast<double>(*strong));
  }
  return weakest;
}

// Judged by eye on contact sheets: what noise and JPEG leave of the ink, and what blur leaves of
// the shape. Hardly legible crops are marked ambiguous; of what nobody sees there is no number to
// read.
Legible legible(double seen, const Capture& c) {
  const double blur = std::hypot(c.defocus, 0.29 * c.motion, 0.5) / c.text_px;
  double needed = 0.035 + 2 * c.noise * (1 + 8 / c.text_px);
  if (c.jpeg_quality > 0) needed += 0.0012 * std::max(0, 80 - c.jpeg_quality);
  if (seen < 0.25 * needed) return Legible::no;
  return seen < needed || blur > 0.11 ? Legible::hardly : Legible::yes;
}

}  // namespace scene
