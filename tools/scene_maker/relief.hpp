// A drawing surface in millimetres: colour and height, so that moulded marks show by light alone.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace scene {

struct Relief {
  double px_per_mm = 3;
  cv::Mat color;   // CV_8UC3
  cv::Mat height;  // CV_32F, mm above the face plane
  cv::Mat gloss;   // CV_8U, 0 matt .. 255 mirror-like

  Relief(cv::Size2d size_mm, double scale, const cv::Scalar& base);

  void fill_box(cv::Rect2d mm, const cv::Scalar& bgr, double corner_mm = 0);
  void raise_box(cv::Rect2d mm, double to_height, double corner_mm = 0);
  void fill_disc(cv::Point2d mm, double radius, const cv::Scalar& bgr);
  void raise_disc(cv::Point2d mm, double radius, double to_height);
  void fill_ring(cv::Point2d mm, double radius, double width, const cv::Scalar& bgr);
  void raise_ring(cv::Point2d mm, double radius, double width, double to_height);
  void fill_shape(const std::vector<cv::Point2d>& mm, const cv::Scalar& bgr);
  /// Lays ink of one colour through a mask placed with its centre at `mm`, turned clockwise by
  /// quarter turns plus `tilt_deg`; `mask_px_per_mm` is the mask's own scale.
  void ink(const cv::Mat& mask, double mask_px_per_mm, cv::Point2d mm, double turn_deg,
           const cv::Scalar& bgr, double opacity, double emboss_mm = 0);
};

}  // namespace scene
