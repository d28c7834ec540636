// Skeletons of digits and capitals as different people write them.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace scene {

using Stroke = std::vector<cv::Point2d>;  // unit height, y down from the top; smoothed when drawn
using Skeleton = std::vector<Stroke>;

/// Ways of writing a digit 0..9; never empty.
const std::vector<Skeleton>& digit_skeletons(int digit);

/// A capital letter, '-', '/', '.' or '+'; empty for any other sign.
Skeleton letter_skeleton(char letter);

}  // namespace scene
