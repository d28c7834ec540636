// Photo, StackFrame -> StripCuts: every strip rectified at full resolution, with its capture
// figures.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

struct StripCut {
  cv::Mat pixels;  // 8-bit BGR, x along the strip, strip 0's frame up
  double px_per_mm = 0;
  cv::Point2d origin_mm;  // stack point of the first pixel's centre
  double blur_px = 0;   // estimated edge blur (sigma) in photo pixels; a pin-sharp photo has about
                        // 0.5; 0 = no edge strong enough to tell
  double glare = 0;     // share of the strip's pixels clipped white, 0..1
  double exposure = 0;  // mean level of the strip 0..1
  double resolution = 0;  // photo pixels per mm along the strip
};

/// Rectifies each strip at `px_per_mm` with `margin_mm` around it.
std::vector<StripCut> cut_strips(const Photo& photo, const StackFrame& frame, double px_per_mm = 4,
                                 double margin_mm = 3);

}  // namespace plumbstack
