#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kWhite = 250;        // of 255, in every channel: no more detail there
constexpr double kMaskPxPerMm = 1;    // patches are looked for at a pixel a millimetre
constexpr double kMostlyWhite = 200;  // of 255: most of that millimetre is white
constexpr double kPatchMm = 7;  // a disc of this fits in: wider than a highlight on a stud or rod
constexpr int kSeamMm = 2;      // above and below a border: the groove lies within

cv::Mat at_scale(const cv::Mat& picture, double factor) {
  cv::Mat small;
  const cv::Size size(std::max(1, static_cast<int>(std::lround(picture.cols * factor))),
                      std::max(1, static_cast<int>(std::lround(picture.rows * factor))));
  cv::resize(picture, small, size, 0, 0, cv::INTER_AREA);
  return small;
}

// Level below which a share of a CV_8U picture lies.
int level_at(const std::array<int, 256>& counts, std::size_t total, double share) {
  std::size_t below = 0;
  for (std::size_t level = 0; level < counts.size(); ++level)
    if (double(below += static_cast<std::size_t>(counts[level])) > share * double(total))
      return static_cast<int>(level);
  return 255;
}

std::array<int, 256> histogram(const cv::Mat& grey) {
  std::array<int, 256> counts{};
  for (int y = 0; y < grey.rows; ++y) {
    const uchar* row = grey.ptr<uchar>(y);
    for (int x = 0; x < grey.cols; ++x) ++counts[row[x]];
  }
  return counts;
}

// Noise from the second difference along the rows, whose median most texture leaves alone; its
// standard deviation is sqrt(6) times the noise's. In levels.
double noise_of(const cv::Mat& grey) {
  std::array<int, 512> counts{};
  std::size_t total = 0;
  for (int y = 0; y < grey.rows; y += 2) {
    const uchar* row = grey.ptr<uchar>(y);
    for (int x = 1; x + 1 < grey.cols; ++x, ++total)
      ++counts[static_cast<std::size_t>(std::abs(row[x - 1] - 2 * row[x] + row[x + 1]))];
  }
  // The median between the whole numbers: levels are few in the dark.
  std::size_t below = 0, level = 0;
  while (level < 511 && 2 * (below + static_cast<std::size_t>(counts[level])) < total)
    below += static_cast<std::size_t>(counts[level++]);
  const double here = std::max(1, counts[level]);
  const double median = double(level) - 0.5 + (double(total) / 2 - double(below)) / here;
  return std::max(0.0, median) / 0.6745 / std::sqrt(6.0);
}

}  // namespace

double glare_share(const cv::Mat& cut, double px_per_mm, double margin_mm) {
  if (cut.empty()) return 0;
  cv::Mat white;
  cv::inRange(cut, cv::Scalar::all(kWhite), cv::Scalar::all(255), white);
  white = at_scale(white, kMaskPxPerMm / px_per_mm) > kMostlyWhite;
  const int disc = static_cast<int>(kPatchMm * kMaskPxPerMm);
  cv::morphologyEx(white, white, cv::MORPH_OPEN,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {disc, disc}));
  const int rim = static_cast<int>(std::lround(margin_mm * kMaskPxPerMm));
  const cv::Rect face(rim, rim, white.cols - 2 * rim, white.rows - 2 * rim);
  if (face.width < 1 || face.height < 1) return 0;
  int hidden = 0;
  for (int x = face.x; x < face.x + face.width; ++x) {
    const cv::Mat column = white.col(x);
    const auto erased = [&](int y) {
      const cv::Mat band =
          column.rowRange(std::max(0, y - kSeamMm), std::min(white.rows, y + kSeamMm));
      return cv::countNonZero(band) == band.rows;
    };
    if (erased(face.y) || erased(face.y + face.height))
      hidden += cv::countNonZero(column.rowRange(face.y, face.y + face.height));
  }
  return double(hidden) / face.area();
}

void measure_light(const cv::Mat& grey, double px_per_mm, StripFigures& figures) {
  if (grey.empty()) return;
  const cv::Mat small = at_scale(grey, std::min(1.0, 1 / px_per_mm));
  const auto counts = histogram(small);
  figures.exposure = cv::mean(small)[0] / 255;
  figures.contrast =
      (level_at(counts, small.total(), 0.98) - level_at(counts, small.total(), 0.02)) / 255.0;
  figures.noise = noise_of(grey) / 255;
}

}  // namespace plumbstack
