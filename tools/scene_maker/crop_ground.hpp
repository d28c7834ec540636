// The plastic that a number stands on, in grey, as a crop around it shows it.
#pragma once

#include <array>

#include "dice.hpp"

namespace scene {

/// How the strips run in the crop: writing along a strip has seams above and below, writing across
/// it has them to the left and right.
struct Ground {
  cv::Mat grey;        // CV_32F, 0..1
  double level = 0.5;  // of the bare plastic, 0..1
  bool along = true;   // the writing runs along the strip
  // Seams above (left of) and below (right of) the writing: px from the crop's middle; 0: none.
  std::array<double, 2> seams{};
  double pitch = 60;  // px from strip to strip
};

/// @param room half the extent, px, around the crop's middle that features keep out of, across the
/// strip (the writing must lie between the seams).
Ground draw_ground(Dice& dice, cv::Size size, bool along, double room);

/// Things without writing: vents, screws, brackets, moulded signs.
void draw_fittings(cv::Mat& grey, Dice& dice, double level);

/// What lies over all of it at one side: a rod, cable or hose from `at` px on, to the right, or to
/// the left where `leftward`.
void draw_cover(cv::Mat& grey, Dice& dice, double at, bool leftward);

/// Light over everything: a slope, now and then the edge of a shadow, and gloss.
struct Light {
  cv::Mat gain;   // CV_32F, factor
  cv::Mat gloss;  // CV_32F, added; empty: none
};

Light any_light(Dice& dice, cv::Size size);
/// `grey` in this light, 0..1.
cv::Mat lit(const cv::Mat& grey, const Light& light);

}  // namespace scene
