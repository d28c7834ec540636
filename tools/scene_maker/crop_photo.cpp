#include "crop_photo.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

// Luminance table of ITU-T T.81 (JPEG), annex K.1.
constexpr int kTable[64] = {16, 11, 10, 16, 24,  40,  51,  61,  12, 12, 14, 19, 26,  58,  60,  55,
                            14, 13, 16, 24, 40,  57,  69,  56,  14, 17, 22, 29, 51,  87,  80,  62,
                            18, 22, 37, 56, 68,  109, 103, 77,  24, 35, 55, 64, 81,  104, 113, 92,
                            49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99};

// Quantises blocks of 8 x 8 as JPEG does; the grid starts anywhere, since a crop is cut anywhere.
void jpeg_blocks(cv::Mat& m, int quality, Dice& dice) {
  const double scale = quality < 50 ? 50.0 / quality : 2 - quality / 50.0;
  cv::Mat steps(8, 8, CV_32F);
  for (int i = 0; i < 64; ++i)
    steps.at<float>(i / 8, i % 8) = static_cast<float>(std::max(1.0, kTable[i] * scale) / 255);
  const int left = dice.whole(0, 7), top = dice.whole(0, 7);
  cv::Mat wide, block;
  cv::copyMakeBorder(m, wide, top, 7 + (8 - (m.rows + top + 7) % 8) % 8, left,
                     7 + (8 - (m.cols + left + 7) % 8) % 8, cv::BORDER_REPLICATE);
  for (int y = 0; y + 8 <= wide.rows; y += 8)
    for (int x = 0; x + 8 <= wide.cols; x += 8) {
      cv::Mat part = wide(cv::Rect(x, y, 8, 8));
      cv::dct(part, block);
      for (int i = 0; i < 64; ++i) {
        const float step = steps.at<float>(i / 8, i % 8);
        float& value = block.at<float>(i / 8, i % 8);
        value = std::nearbyint(value / step) * step;
      }
      cv::idct(block, part);
    }
  wide(cv::Rect(left, top, m.cols, m.rows)).copyTo(m);
}

void move_blur(cv::Mat& m, double length, double angle) {
  const int reach = std::max(1, cvCeil(length / 2));
  cv::Mat kernel = cv::Mat::zeros(2 * reach + 1, 2 * reach + 1, CV_32F);
  const double dx = std::cos(angle) * length / 2, dy = std::sin(angle) * length / 2;
  const auto at = [&](double x, double y) {
    return cv::Point(cvRound((reach + x) * 16), cvRound((reach + y) * 16));
  };
  cv::Mat wide = cv::Mat::zeros(kernel.size(), CV_8U);
  cv::line(wide, at(-dx, -dy), at(dx, dy), cv::Scalar(255), 1, cv::LINE_AA, 4);
  wide.convertTo(kernel, CV_32F, 1 / std::max(1.0, cv::sum(wide)[0]));
  cv::filter2D(m, m, CV_32F, kernel, {-1, -1}, 0, cv::BORDER_REPLICATE);
}

}  // namespace

cv::Mat through_lens(const cv::Mat& grey, double text_px, const Capture& c) {
  const double scale = std::min(1.0, c.text_px / text_px);
  const cv::Size own(std::max(6, cvRound(grey.cols * scale)),
                     std::max(4, cvRound(grey.rows * scale)));
  cv::Mat photo;
  cv::resize(grey, photo, own, 0, 0, cv::INTER_AREA);
  if (c.defocus > 0.2) cv::GaussianBlur(photo, photo, {}, c.defocus, 0, cv::BORDER_REPLICATE);
  if (c.motion > 0.8) move_blur(photo, c.motion, c.motion_angle);
  return photo;
}

cv::Mat photograph(const cv::Mat& grey, double text_px, const Capture& c, cv::Size size,
                   Dice& dice) {
  cv::Mat photo = through_lens(grey, text_px, c);
  cv::RNG fill(dice.engine()());
  cv::Mat noise(photo.size(), CV_32F);
  fill.fill(noise, cv::RNG::NORMAL, 0.0, c.noise);
  photo += noise;
  if (c.sharpen > 0) {
    cv::Mat soft;
    cv::GaussianBlur(photo, soft, {}, 1.0);
    photo += (photo - soft) * c.sharpen;
  }
  cv::max(photo, 0, photo);
  cv::min(photo, 1, photo);
  if (c.jpeg_quality > 0) jpeg_blocks(photo, c.jpeg_quality, dice);
  const bool smaller = size.width < photo.cols;
  cv::resize(photo, photo, size, 0, 0, smaller ? cv::INTER_AREA : cv::INTER_LINEAR);
  cv::Mat out;
  photo.convertTo(out, CV_8U, 255);
  return out;
}

}  // namespace scene
