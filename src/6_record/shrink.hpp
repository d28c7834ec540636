#pragma once

#include <opencv2/core.hpp>

namespace plumbstack {

/// The picture at a smaller size without aliasing: halved by averaging as often as fits, the rest
/// bilinear. Area averaging straight to the size looks no better and takes four times as long.
cv::Mat shrunk(const cv::Mat& picture, cv::Size size);

}  // namespace plumbstack
