// Log brightness makes a shadow an offset, and its change along the strip drops the offset. Rods,
// hoses and shadows cross the seams without a break; a module's own features end there. So what
// looks the same on a seam as on the strips beside it is not the module's.
#include "strip_rows.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "plumbstack/base/in_parallel.hpp"
#include "strip_sampling.hpp"

namespace plumbstack {
namespace {

constexpr double kMargin = 22;      // mm of background cut at either end
constexpr double kFinest = 4;       // px/mm: finer photos are averaged first
constexpr int kSubRows = 4;         // of a band
constexpr int kSeamRows = 5;        // over a seam
constexpr double kSeamHalf = 0.05;  // of the thickness: half the height looked at on a seam

cv::Mat seam_changes(const Source& source, const PlaneView& view,
                     const std::vector<RoughStrip>& strips, const StripRows& rows) {
  cv::Mat seams(std::max(0, rows.strips() - 1), rows.samples * 3, CV_32F);
  in_parallel(static_cast<std::size_t>(seams.rows), [&](std::size_t k) {
    const RoughStrip &above = strips[k], &below = strips[k + 1];
    const double half = kSeamHalf * (above.bottom - above.top);
    const cv::Mat pixels = cut(source, view,
                               {{rows.from_mm, (above.bottom + below.top) / 2 - half},
                                {1 / rows.px_per_mm, 0},
                                {0, 2 * half / (kSeamRows - 1)},
                                rows.samples,
                                kSeamRows});
    float* change = seams.ptr<float>(static_cast<int>(k));
    slope(log_bands(pixels, kSeamRows), 3, rows.px_per_mm, change);
    clip(change, seams.cols);
  });
  return seams;
}

// Sums over a strip and the seams beside it at every sample: seam x strip, seam^2, strip^2.
cv::Mat likeness(const StripRows& rows, const cv::Mat& seams, int strip) {
  cv::Mat sums(1, rows.samples, CV_32FC3, cv::Scalar::all(0));
  const float* change = rows.change.ptr<float>(strip);
  for (int x = 0; x < rows.samples; ++x)
    for (int c = 0; c < 3; ++c) {
      float mean = 0;
      for (int b = 0; b < kBands; ++b) mean += change[x * kValues + 3 * b + c] / kBands;
      for (int s = std::max(0, strip - 1); s <= std::min(strip, seams.rows - 1); ++s) {
        const float seam = seams.at<float>(s, 3 * x + c);
        sums.at<cv::Vec3f>(x) += cv::Vec3f(seam * mean, seam * seam, mean * mean);
      }
    }
  return sums;
}

void hide_what_crosses_seams(StripRows& rows, const cv::Mat& seams,
                             const std::vector<RoughStrip>& strips, double strip_mm) {
  constexpr int kNeighbours = 6;     // strips either way: rods and hoses run on for long
  constexpr double kWidth = 8;       // mm
  constexpr double kEnds = 6;        // mm: the ends do line up across seams
  constexpr float kAlike = 0.4F;     // correlation between seam and strip
  constexpr float kAsStrong = 0.2F;  // of the strip's own slope
  std::vector<cv::Mat> sums;
  for (int k = 0; k < rows.strips(); ++k) sums.push_back(likeness(rows, seams, k));
  for (int k = 0; k < rows.strips(); ++k) {
    cv::Mat sum(1, rows.samples, CV_32FC3, cv::Scalar::all(0)), wide;
    for (int j = std::max(0, k - kNeighbours); j <= std::min(rows.strips() - 1, k + kNeighbours);
         ++j)
      sum += sums[static_cast<std::size_t>(j)];
    cv::blur(sum, wide, {2 * static_cast<int>(kWidth * rows.px_per_mm / 2) + 1, 1});
    const double shift = strips[static_cast<std::size_t>(k)].shift;
    for (int x = 0; x < rows.samples; ++x) {
      const cv::Vec3f v = wide.at<cv::Vec3f>(x);
      const double at = rows.from_mm + x / rows.px_per_mm - shift;
      const bool inside = std::min(std::abs(at), std::abs(at - strip_mm)) > kEnds;
      if (inside && v[0] > kAlike * std::sqrt(v[1] * v[2]) && v[0] > kAsStrong * v[2] && v[2] > 0)
        rows.hidden.at<std::uint8_t>(k, x) = 255;
    }
  }
}

void hide_covered(StripRows& rows, const std::vector<RoughStrip>& strips,
                  const CoverTest& covered) {
  for (int k = 0; k < rows.strips(); ++k) {
    const RoughStrip& s = strips[static_cast<std::size_t>(k)];
    for (int x = 0; x < rows.samples; ++x)
      if (covered({rows.from_mm + x / rows.px_per_mm, (s.top + s.bottom) / 2}))
        rows.hidden.at<std::uint8_t>(k, x) = 255;
  }
}

// From how fast the slope itself changes: an edge's width is the slope's over its change.
double edge_width(const StripRows& rows) {
  double change = 0, slope = 0;
  for (int k = 0; k < rows.strips(); ++k) {
    const float* v = rows.change.ptr<float>(k);
    for (int i = kValues; i < rows.change.cols; ++i) {
      const double step = static_cast<double>(v[i] - v[i - kValues]);
      change += step * step, slope += static_cast<double>(v[i] * v[i]);
    }
  }
  return change > 0 ? std::sqrt(slope / change) / rows.px_per_mm : 0;
}

}  // namespace

StripRows cut_strip_rows(const cv::Mat& photo, const PlaneView& view,
                         const std::vector<RoughStrip>& strips, double strip_mm,
                         const CoverTest& covered) {
  StripRows rows;
  const double middle = (strips.front().top + strips.back().bottom) / 2;
  const cv::Point2d scale = view.px_per_mm({strip_mm / 2, middle});
  rows.px_per_mm = std::clamp(std::min(scale.x, scale.y), 1.0, kFinest);
  rows.from_mm = -kMargin;
  rows.samples = static_cast<int>((strip_mm + 2 * kMargin) * rows.px_per_mm) + 1;
  const int count = static_cast<int>(strips.size());
  rows.change.create(count, rows.samples * kValues, CV_32F);
  rows.hidden = cv::Mat::zeros(count, rows.samples, CV_8U);
  const Source source = averaged(photo, std::min(scale.x, scale.y) / rows.px_per_mm);
  in_parallel(strips.size(), [&](std::size_t k) {
    const RoughStrip& s = strips[k];
    // Borders are left out: the groove's shade belongs to both neighbours.
    constexpr double kBorder = 0.08;
    const double thick = s.bottom - s.top, step = (1 - 2 * kBorder) * thick / (kBands * kSubRows);
    const cv::Mat pixels = cut(source, view,
                               {{rows.from_mm, s.top + kBorder * thick + step / 2},
                                {1 / rows.px_per_mm, 0},
                                {0, step},
                                rows.samples,
                                kBands * kSubRows});
    float* change = rows.change.ptr<float>(static_cast<int>(k));
    slope(log_bands(pixels, kSubRows), kValues, rows.px_per_mm, change);
    clip(change, rows.change.cols);
  });
  rows.edge_mm = edge_width(rows);
  hide_what_crosses_seams(rows, seam_changes(source, view, strips, rows), strips, strip_mm);
  hide_covered(rows, strips, covered);
  return rows;
}

}  // namespace plumbstack
