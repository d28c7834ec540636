// Whether a person could read what a crop shows.
#pragma once

#include "crop_frame.hpp"
#include "crop_photo.hpp"

namespace scene {

/// What the camera gets of the weakest digit: the strong part (not the peak) of the difference that
/// the ink makes on the canvas, 0..1, in each digit's share of the text's length.
double weakest_digit(const cv::Mat& difference, const Frame& f, const Capture& c, int digits);

/// Hardly legible crops are marked ambiguous; of what nobody sees there is no number to read.
enum class Legible { yes, hardly, no };

Legible legible(double seen, const Capture& capture);

}  // namespace scene
