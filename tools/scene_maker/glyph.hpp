// One drawn sign and where it stands on its line.
#pragma once

#include <opencv2/core.hpp>

namespace scene {

struct Glyph {
  cv::Mat mask;        // CV_8U, 255 ink; empty where the sign is not known
  double left = 0;     // px in the mask from its left edge to the pen's place
  double top = 0;      // px in the mask from its upper edge to the line of digit tops
  double advance = 0;  // px to the next pen's place, spacing not included
};

}  // namespace scene
