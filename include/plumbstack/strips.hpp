// Photo, StackFrame -> StripCuts: every strip rectified, with what its light and sharpness are.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

/// How well the photo shows one strip. All levels are of the displayed picture, 0..1.
struct StripFigures {
  double resolution = 0;  // photo pixels per mm along the strip
  double blur_px = 0;     // edge blur (sigma) in photo pixels, the worse of along and across the
                          // strip; a pin-sharp photo has about 0.5; 0 = no edge strong enough
  double blur_mm = 0;     // the same on the strip; 0 = no edge strong enough
  double glare = 0;       // share of the strip in large patches clipped white, 0..1
  double exposure = 0;    // mean level
  double contrast = 0;    // between the darkest and the lightest fiftieth of the strip's square
                          // millimetres: a number or a sign covers more
  double noise = 0;       // standard deviation from pixel to pixel of the cut
};

struct StripCut {
  cv::Mat pixels;  // 8-bit BGR, x along the strip, strip 0's frame up; empty where the strip lies
                   // outside the photo
  double px_per_mm = 0;   // of the cut
  cv::Point2d origin_mm;  // stack point of the first pixel's centre
  StripFigures figures;   // of the strip without the margin
};

struct CutStripsOptions {
  double px_per_mm = 4;  // at most: a coarser photo is cut at its own scale. Strokes of a number
                         // are 1 mm wide, so finer than that nothing is gained
  double margin_mm = 3;  // around each strip, so that its seams are in the cut
};

/// One cut for each strip of the frame, in its order.
std::vector<StripCut> cut_strips(const Photo& photo, const StackFrame& frame,
                                 const CutStripsOptions& options = {});

}  // namespace plumbstack
