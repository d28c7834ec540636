#include "capture.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

// Light over the photo, an eighth of its size: lamp, fall-off, cast shadows.
cv::Mat draw_light(Dice& dice, cv::Size size) {
  cv::Mat light(size, CV_32F, cv::Scalar(1));
  const double gx = dice.normal(0.18), gy = dice.normal(0.18),
               fall = dice.chance(0.5) ? dice.uniform(0, 0.7) : 0;
  const cv::Point2d lamp(dice.uniform(0, 1), dice.uniform(0, 1));
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const double u = double(x) / size.width, v = double(y) / size.height;
      const double d2 = (u - lamp.x) * (u - lamp.x) + (v - lamp.y) * (v - lamp.y);
      light.at<float>(y, x) = static_cast<float>((1 + gx * (u - 0.5) * 2 + gy * (v - 0.5) * 2) *
                                                 (1 - fall * std::min(1.0, d2)));
    }
  for (int i = dice.chance(0.4) ? dice.whole(1, 4) : 0; i > 0; --i) {
    cv::Mat shadow(size, CV_32F, cv::Scalar(1));
    const cv::Point2f at(static_cast<float>(dice.uniform(0, size.width)),
                         static_cast<float>(dice.uniform(0, size.height)));
    cv::Point2f corner[4];
    cv::RotatedRect(at,
                    {static_cast<float>(size.width * dice.uniform(0.05, 0.5)),
                     static_cast<float>(size.height * dice.uniform(0.2, 2))},
                    static_cast<float>(dice.uniform(0, 180)))
        .points(corner);
    const std::vector<cv::Point> box(corner, corner + 4);
    cv::fillConvexPoly(shadow, box, cv::Scalar(dice.uniform(0.35, 0.8)));
    cv::GaussianBlur(shadow, shadow, {}, size.width * dice.uniform(0.002, 0.03) + 0.5);
    light = light.mul(shadow);
  }
  return light;
}

void add_glare(Dice& dice, cv::Mat& wide, cv::Mat& cover, const Camera& camera, cv::Size2d side_mm,
               bool strong) {
  const cv::Point2d at = camera.project(side_mm.width * dice.uniform(0.1, 0.9),
                                        side_mm.height * dice.uniform(0.1, 0.9));
  const double reach = camera.px_per_mm() * side_mm.width *
                       (strong ? dice.uniform(0.15, 0.5) : dice.uniform(0.05, 0.4));
  const double power = strong ? dice.uniform(260, 700) : dice.uniform(10, 90),
               squash = dice.uniform(0.4, 2.5);
  for (int y = 0; y < wide.rows; ++y)
    for (int x = 0; x < wide.cols; ++x) {
      const double dx = (x - at.x) / reach, dy = (y - at.y) / (reach * squash),
                   r2 = dx * dx + dy * dy;
      if (r2 > 12) continue;
      const float add = static_cast<float>(power * std::exp(-r2));
      wide.at<cv::Vec3f>(y, x) += cv::Vec3f(add, add, add);
      if (add > 150 && y / 4 < cover.rows && x / 4 < cover.cols)
        cover.at<uchar>(y / 4, x / 4) = 255;
    }
}

void smear(Dice& dice, cv::Mat& wide, double sigma) {
  if (dice.chance(0.6)) {
    cv::GaussianBlur(wide, wide, {}, sigma);
    return;
  }
  const int n = std::max(3, static_cast<int>(sigma * 3.4)) | 1;  // motion
  cv::Mat kernel = cv::Mat::zeros(n, n, CV_32F);
  const double a = dice.uniform(0, CV_PI);
  const cv::Point2d c(n / 2.0, n / 2.0), d(std::cos(a) * n / 2, std::sin(a) * n / 2);
  cv::line(kernel, c - d, c + d, cv::Scalar(1), 1);
  kernel /= cv::sum(kernel)[0];
  cv::filter2D(wide, wide, -1, kernel);
}

void develop(Dice& dice, cv::Mat& wide, bool dark) {
  const double exposure = dark               ? dice.uniform(0.03, 0.16)
                          : dice.chance(0.2) ? dice.uniform(0.4, 0.8)
                                             : dice.uniform(0.8, 1.3);
  const cv::Scalar balance(exposure * (1 + dice.normal(0.07)), exposure,
                           exposure * (1 + dice.normal(0.07)));
  cv::multiply(wide, balance, wide);
  const double gamma = dice.uniform(0.8, 1.25);
  cv::Mat curve(1, 256, CV_8U);
  static_cast<void>(curve);
  wide = cv::max(wide, 0.0);
  cv::pow(wide / 255, gamma, wide);
  wide *= 255;
  const double noise = (dark               ? dice.uniform(2, 6)
                        : dice.chance(0.3) ? dice.uniform(3, 9)
                                           : dice.uniform(0.5, 3));
  cv::Mat grain(wide.size(), CV_32FC3);
  cv::RNG(static_cast<std::uint64_t>(dice.whole(1, 1 << 30)))
      .fill(grain, cv::RNG::NORMAL, cv::Scalar::all(0), cv::Scalar::all(noise));
  if (dice.chance(0.5)) cv::GaussianBlur(grain, grain, {}, dice.uniform(0.4, 0.9));
  wide += grain;
}

}  // namespace

void expose(Dice& dice, cv::Mat& photo, cv::Mat& cover, const Camera& camera, cv::Size2d side_mm,
            const CaptureWish& wish) {
  cv::Mat light = draw_light(dice, {photo.cols / 8, photo.rows / 8}), full, wide;
  cv::resize(light, full, photo.size(), 0, 0, cv::INTER_LINEAR);
  photo.convertTo(wide, CV_32FC3);
  for (int y = 0; y < wide.rows; ++y) {
    const float* f = full.ptr<float>(y);
    cv::Vec3f* p = wide.ptr<cv::Vec3f>(y);
    for (int x = 0; x < wide.cols; ++x) p[x] *= f[x];
  }
  if (wish.fault == "glare")
    add_glare(dice, wide, cover, camera, side_mm, true);
  else if (dice.chance(0.25))
    add_glare(dice, wide, cover, camera, side_mm, false);
  if (wish.fault == "blur")
    smear(dice, wide, std::max(2.5, wish.sharp_px_per_mm * dice.uniform(1.0, 2.2)));
  else if (dice.chance(0.6))
    smear(dice, wide, dice.uniform(0.3, dice.chance(0.8) ? 1.0 : 1.6));
  develop(dice, wide, wish.fault == "dark");
  wide.convertTo(photo, CV_8UC3);
}

}  // namespace scene
