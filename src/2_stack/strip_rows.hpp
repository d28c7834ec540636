// The strips cut from the photo at about its own resolution, as the change of brightness along
// them: what stagger is measured on.
#pragma once

#include <cstdint>
#include <functional>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "plumbstack/stack.hpp"

namespace plumbstack {

/// Where a strip is roughly, in stack mm of the view.
struct RoughStrip {
  double top = 0, bottom = 0;
  double shift = 0;     // of the strip along x, as its ends seen coarsely say; 0 = unknown
  double shift_sd = 1;  // mm
  std::optional<double> left = {}, right = {};  // where each end has it, as far as it is seen
};

inline constexpr int kBands = 6;            // across the thickness
inline constexpr int kValues = 3 * kBands;  // a sample: band by band blue, green, red

/// One row a strip, kValues floats a sample, so that a shift along the strip is an offset.
struct StripRows {
  double from_mm = 0;    // x of the first sample
  double px_per_mm = 1;  // samples to the millimetre
  int samples = 0;
  double edge_mm = 0;  // width of the sharpest usual edges; grows with blur
  cv::Mat change;  // CV_32F, strips x samples * kValues: d log(brightness) / dx, per mm, clipped
  cv::Mat hidden;  // CV_8U, strips x samples; 255: not of the module (rod, strap, shadow, cover)

  int strips() const { return change.rows; }
  int sample_at(double x_mm) const {
    return static_cast<int>(std::lround((x_mm - from_mm) * px_per_mm));
  }
};

/// Is stack point (mm of the view) covered?
using CoverTest = std::function<bool(cv::Point2d)>;

/// `hidden` holds what `covered` says and what runs on across the seams, as no module does.
StripRows cut_strip_rows(const cv::Mat& photo, const PlaneView& view,
                         const std::vector<RoughStrip>& strips, double strip_mm,
                         const CoverTest& covered);

}  // namespace plumbstack
