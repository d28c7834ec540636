// What the face network says of a rectified side: one plane for each thing it looks for.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace plumbstack {

enum class FacePlane {
  seam,         // border between two strips, or outer border of the first or last
  left_end,     // left end edge of a strip
  right_end,    // right end edge of a strip
  cover,        // something lies over the side here (rod, strap, hand, hose, glare)
  text_0,       // centre of a piece of writing that reads upright,
  text_90,      //   turned 90 degrees clockwise,
  text_180,     //   half a turn,
  text_270,     //   270 degrees clockwise
  text_length,  // length of the writing along its base line / 64 mm, valid at a centre
  text_height,  // height of the writing / 32 mm, valid at a centre
  vent,         // centre of a vent
  plus,         // centre of a plus sign
  minus,        // centre of a minus sign
};
inline constexpr int kFacePlanes = 13;

/// The planes over a rectified side. Stack point (x, y) mm lies at plane pixel
/// ((x - origin.x) * px_per_mm, (y - origin.y) * px_per_mm), pixel centres at whole numbers.
struct FaceMaps {
  cv::Point2d origin_mm;        // of the planes' first pixel centre
  double px_per_mm = 0;         // of the planes, not of the network's input
  std::vector<cv::Mat> planes;  // CV_32F, probabilities 0..1, indexed by FacePlane

  const cv::Mat& plane(FacePlane which) const { return planes[static_cast<std::size_t>(which)]; }
  cv::Point2d pixel_of(cv::Point2d stack_mm) const { return (stack_mm - origin_mm) * px_per_mm; }
  cv::Point2d stack_of(cv::Point2d pixel) const { return origin_mm + pixel / px_per_mm; }
};

}  // namespace plumbstack
