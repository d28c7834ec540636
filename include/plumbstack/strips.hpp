// Photo, StackFrame -> Side view: the photographed side rectified, and what the face network says of it.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

/// The face network's planes over a rectified side. Stack point (x, y) mm lies at raster pixel
/// ((x - origin.x) * px_per_mm, (y - origin.y) * px_per_mm), pixel centres at whole numbers.
struct FaceMaps {
  cv::Point2d origin_mm;      // of the raster's first pixel centre
  double px_per_mm = 0;       // of the planes below, not of the network's input
  std::vector<cv::Mat> planes;  // CV_32F, probabilities 0..1, indexed by FacePlane
};

enum class FacePlane {
  seam,          // border between two strips, or outer border of the first or last
  left_end,      // left end edge of a strip
  right_end,     // right end edge of a strip
  cover,         // something lies over the side here (rod, strap, hand, hose, glare)
  text_0,        // centre of a piece of writing that reads upright,
  text_90,       //   turned 90 degrees clockwise,
  text_180,      //   half a turn,
  text_270,      //   270 degrees clockwise
  text_length,   // length of the writing along its base line / 64 mm, valid at a centre
  text_height,   // height of the writing / 32 mm, valid at a centre
  vent,          // centre of a vent
  plus,          // centre of a plus sign
  minus,         // centre of a minus sign
};
inline constexpr int kFacePlanes = 13;

struct StripCut {
  cv::Mat pixels;        // 8-bit BGR, x along the strip, strip 0's frame up
  double px_per_mm = 0;
  cv::Point2d origin_mm; // stack point of the first pixel's centre
  double blur_px = 0;    // estimated edge blur (sigma) in photo pixels
  double glare = 0;      // share of pixels clipped white
  double exposure = 0;   // mean level 0..1
  double resolution = 0; // photo pixels per mm along the strip
};

/// Rectifies each strip at `px_per_mm` with `margin_mm` around it.
std::vector<StripCut> cut_strips(const Photo& photo, const StackFrame& frame, double px_per_mm = 4,
                                 double margin_mm = 3);

/// Rectifies a region of the side (stack mm) into an 8-bit BGR raster.
cv::Mat rectify(const cv::Mat& photo_pixels, const PlaneView& view, const cv::Rect2d& region_mm,
                double px_per_mm);

}  // namespace plumbstack
