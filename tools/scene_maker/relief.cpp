#include "relief.hpp"

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

constexpr int kShift = 4;

cv::Point fixed(cv::Point2d px) {
  return {static_cast<int>(std::lround(px.x * (1 << kShift))),
          static_cast<int>(std::lround(px.y * (1 << kShift)))};
}

std::vector<cv::Point> box_outline(cv::Rect2d mm, double corner, double s) {
  corner = std::min({corner, mm.width / 2, mm.height / 2});
  std::vector<cv::Point> outline;
  const cv::Point2d centres[4] = {{mm.x + mm.width - corner, mm.y + corner},
                                  {mm.x + mm.width - corner, mm.y + mm.height - corner},
                                  {mm.x + corner, mm.y + mm.height - corner},
                                  {mm.x + corner, mm.y + corner}};
  const int steps = corner > 0 ? 5 : 1;
  for (int quarter = 0; quarter < 4; ++quarter)
    for (int i = 0; i < steps; ++i) {
      const double a = CV_PI / 2 * (quarter - 1 + (steps > 1 ? i / double(steps - 1) : 0.5));
      const double reach = steps > 1 ? corner : 0;
      outline.push_back(
          fixed((centres[quarter] + cv::Point2d(std::cos(a), std::sin(a)) * reach) * s));
    }
  return outline;
}

std::vector<cv::Point> disc_outline(cv::Point2d mm, double radius, double s) {
  std::vector<cv::Point> outline;
  for (int i = 0; i < 28; ++i) {
    const double a = 2 * CV_PI * i / 28;
    outline.push_back(fixed((mm + cv::Point2d(std::cos(a), std::sin(a)) * radius) * s));
  }
  return outline;
}

void fill(cv::Mat& on, const std::vector<cv::Point>& outline, const cv::Scalar& value) {
  const int line = on.depth() == CV_8U ? cv::LINE_AA : cv::LINE_8;
  cv::fillPoly(on, std::vector<std::vector<cv::Point>>{outline}, value, line, kShift);
}

void ring(cv::Mat& on, const std::vector<cv::Point>& outer, std::vector<cv::Point> inner,
          const cv::Scalar& value) {
  const int line = on.depth() == CV_8U ? cv::LINE_AA : cv::LINE_8;
  cv::fillPoly(on, std::vector<std::vector<cv::Point>>{outer, std::move(inner)}, value, line,
               kShift);
}

}  // namespace

Relief::Relief(cv::Size2d size_mm, double scale, const cv::Scalar& base) : px_per_mm(scale) {
  const cv::Size px(std::max(2, static_cast<int>(std::ceil(size_mm.width * scale))),
                    std::max(2, static_cast<int>(std::ceil(size_mm.height * scale))));
  color = cv::Mat(px, CV_8UC3, base);
  height = cv::Mat::zeros(px, CV_32F);
  gloss = cv::Mat(px, CV_8U, cv::Scalar(40));
}

void Relief::fill_box(cv::Rect2d mm, const cv::Scalar& bgr, double corner) {
  fill(color, box_outline(mm, corner, px_per_mm), bgr);
}
void Relief::raise_box(cv::Rect2d mm, double to_height, double corner) {
  fill(height, box_outline(mm, corner, px_per_mm), cv::Scalar(to_height));
}
void Relief::fill_disc(cv::Point2d mm, double radius, const cv::Scalar& bgr) {
  fill(color, disc_outline(mm, radius, px_per_mm), bgr);
}
void Relief::raise_disc(cv::Point2d mm, double radius, double to_height) {
  fill(height, disc_outline(mm, radius, px_per_mm), cv::Scalar(to_height));
}
void Relief::fill_ring(cv::Point2d mm, double radius, double width, const cv::Scalar& bgr) {
  ring(color, disc_outline(mm, radius, px_per_mm), disc_outline(mm, radius - width, px_per_mm),
       bgr);
}
void Relief::raise_ring(cv::Point2d mm, double radius, double width, double to_height) {
  ring(height, disc_outline(mm, radius, px_per_mm), disc_outline(mm, radius - width, px_per_mm),
       cv::Scalar(to_height));
}
void Relief::fill_shape(const std::vector<cv::Point2d>& mm, const cv::Scalar& bgr) {
  std::vector<cv::Point> outline;
  for (const cv::Point2d& p : mm) outline.push_back(fixed(p * px_per_mm));
  fill(color, outline, bgr);
}

void Relief::ink(const cv::Mat& mask, double mask_px_per_mm, cv::Point2d mm, double turn_deg,
                 const cv::Scalar& bgr, double opacity, double emboss_mm) {
  if (mask.empty()) return;
  const double scale = px_per_mm / mask_px_per_mm;
  cv::Mat move = cv::getRotationMatrix2D(
      cv::Point2f(static_cast<float>(mask.cols / 2.0), static_cast<float>(mask.rows / 2.0)),
      -turn_deg, scale);
  move.at<double>(0, 2) += mm.x * px_per_mm - mask.cols / 2.0;
  move.at<double>(1, 2) += mm.y * px_per_mm - mask.rows / 2.0;
  const double reach = std::hypot(mask.cols, mask.rows) / 2 * scale + 2;
  const cv::Rect roi = cv::Rect(static_cast<int>(mm.x * px_per_mm - reach),
                                static_cast<int>(mm.y * px_per_mm - reach),
                                static_cast<int>(2 * reach), static_cast<int>(2 * reach)) &
                       cv::Rect({}, color.size());
  if (roi.empty()) return;
  move.at<double>(0, 2) -= roi.x;
  move.at<double>(1, 2) -= roi.y;
  cv::Mat source = mask, laid;
  if (scale < 0.6) cv::GaussianBlur(mask, source, {}, 0.4 / scale);
  cv::warpAffine(source, laid, move, roi.size(), cv::INTER_LINEAR);
  cv::Mat part = color(roi);
  for (int y = 0; y < roi.height; ++y)
    for (int x = 0; x < roi.width; ++x) {
      const double a = laid.at<uchar>(y, x) / 255.0 * opacity;
      if (a <= 0) continue;
      cv::Vec3b& p = part.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = cv::saturate_cast<uchar>(p[c] * (1 - a) + bgr[c] * a);
      height.at<float>(roi.y + y, roi.x + x) +=
          static_cast<float>(laid.at<uchar>(y, x) / 255.0 * emboss_mm);
    }
}

}  // namespace scene
