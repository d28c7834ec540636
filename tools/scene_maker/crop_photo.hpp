// From a clean drawing to what a photo of it holds: few pixels, blur, noise, JPEG blocks.
#pragma once

#include "dice.hpp"

namespace scene {

struct Capture {
  double text_px = 20;      // height of the text in the photo's own pixels
  double defocus = 0;       // sigma, photo px
  double motion = 0;        // length, photo px
  double motion_angle = 0;  // rad
  double noise = 0;         // sd, 0..1
  int jpeg_quality = 0;     // 1..100; 0 none
  double sharpen = 0;       // 0 none .. 1 strong halo
};

/// The lens alone, at the photo's own pixels: `text_px` is the height of the text in `grey`.
cv::Mat through_lens(const cv::Mat& grey, double text_px, const Capture& capture);

/// @param text_px height of the text in `grey` (CV_32F, 0..1). Returns CV_8U of `size`.
cv::Mat photograph(const cv::Mat& grey, double text_px, const Capture& capture, cv::Size size,
                   Dice& dice);

}  // namespace scene
