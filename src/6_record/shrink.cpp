#include "shrink.hpp"

#include <opencv2/imgproc.hpp>

namespace plumbstack {

cv::Mat shrunk(const cv::Mat& picture, cv::Size size) {
  cv::Mat now = picture;
  while (now.cols >= 2 * size.width && now.rows >= 2 * size.height) {
    // Exactly two by two pixels to one, for which the library has a fast way; an odd last row or
    // column goes.
    const cv::Size half(now.cols / 2, now.rows / 2);
    cv::Mat halved;
    cv::resize(now(cv::Rect(0, 0, 2 * half.width, 2 * half.height)), halved, half, 0, 0,
               cv::INTER_AREA);
    now = halved;
  }
  if (now.size() == size) return now;
  cv::Mat out;
  cv::resize(now, out, size, 0, 0, cv::INTER_LINEAR);
  return out;
}

}  // namespace plumbstack
