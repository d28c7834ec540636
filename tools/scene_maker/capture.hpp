// From the drawn scene to a photo: lamps, shadows, glare, lens, sensor.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "camera.hpp"
#include "dice.hpp"

namespace scene {

struct CaptureWish {
  std::string fault = "none";  // none, blur, glare, dark; crop and occlusion are set elsewhere
  double sharp_px_per_mm = 3;  // scale of the stack in the photo
};

/// Changes `photo` (CV_8UC3) as the capture would; what glare hides is added to `cover` (quarter
/// size).
void expose(Dice& dice, cv::Mat& photo, cv::Mat& cover, const Camera& camera, cv::Size2d side_mm,
            const CaptureWish& wish);

}  // namespace scene
