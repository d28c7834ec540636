// Steps of the readers: a crop of the photo -> columns of probabilities -> a text.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "parts.hpp"

namespace plumbstack {

/// A place on the side as a reader wants to see it.
struct CropPlace {
  cv::Point2d centre_mm;
  double rotation_deg = 0;  // of what should stand upright in the crop
  double px_per_mm = 1;
  cv::Size size;               // px
  double own_top_mm = -1e9;    // what lies beyond these along the axis takes the mean of what lies
  double own_bottom_mm = 1e9;  // between: a neighbour's number must not be read along
};

/// The crop in grey (CV_32F) or in blue, green and red (CV_32FC3), at mean 0 and deviation 1 over
/// all its channels.
cv::Mat grey_crop(const Photo& photo, const PlaneView& view, const CropPlace& place);
cv::Mat color_crop(const Photo& photo, const PlaneView& view, const CropPlace& place);

/// Connectionist temporal classification (Graves et al., ICML 2006): each column holds one of the
/// digits or nothing, and a text is what is left when repeats and nothings are dropped.
inline constexpr int kClasses = 11;                         // nothing, then 0-9
using Columns = std::vector<std::array<double, kClasses>>;  // probabilities, from left to right

/// The network's output for one crop (22 x 1 x 24 logits) as columns.
Columns columns_of(const float* logits, double temperature);
/// The text of the most probable columns; digits only.
std::string likely_text(const Columns& columns);
/// Probability of a text of digits: the sum over all its alignments.
double probability_of(const std::string& text, const Columns& columns);

/// How a crop lies on the number in it.
struct Framing {
  cv::Point2d shift_px;  // from the crop's middle to the number's, in the crop
  double scale = 1;      // the number should be shown this much larger
  double tilt_deg = 0;   // the crop is turned clockwise against the number
};
/// The place from which the crop should have been cut.
CropPlace reframed(const CropPlace& place, const Framing& framing);

/// The other way to read a number: how many digits, and which digit at each place.
struct Places {
  std::array<double, 5> length{};                  // probability of 0..4 digits
  std::array<std::array<double, 11>, 4> digits{};  // of 0-9 and none
  Framing framing;                                 // if there is a number
};
/// From the network's output for one crop (49 logits, then the framing in units of its own).
Places places_of(const float* logits, double temperature);
/// The most probable text of one to four digits, however probable it is that there is none.
std::string likely_number(const Places& places);
double probability_of(const std::string& text, const Places& places);

}  // namespace plumbstack
