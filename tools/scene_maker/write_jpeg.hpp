// JPEG by libjpeg alone: the scene maker also runs on machines without OpenCV's image codecs.
#pragma once

#include <opencv2/core.hpp>
#include <string>

namespace scene {

/// Writes 8-bit BGR as JPEG, 4:2:0. False where the file can't be written.
bool write_jpeg(const std::string& file, const cv::Mat& bgr, int quality);
/// Binary PGM of an 8-bit single channel.
bool write_pgm(const std::string& file, const cv::Mat& grey);

}  // namespace scene
