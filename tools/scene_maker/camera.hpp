// Where the camera stands: stack millimetres (x along the strip, y down the axis, h above the
// photographed plane, towards the camera) to displayed pixels.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "dice.hpp"

namespace scene {

struct CameraWish {
  cv::Size photo;       // px
  double strip_mm = 0;  // size of the side
  double axis_mm = 0;
  double margin_mm = 25;          // kept around the side (end plates)
  std::string slot_1_at = "top";  // edge of the photo
  double max_slant_deg = 30;      // from the normal
  double slanted_share = 0;       // of photos taken from far aside
  double max_roll_deg = 12;
  double fill_low = 0.6, fill_high = 0.97;  // of the tighter photo dimension
};

struct Camera {
  cv::Size photo;
  cv::Matx33d intrinsic;
  cv::Matx33d rotation;
  cv::Vec3d translation;
  cv::Point2d middle_mm;
  double k1 = 0;

  cv::Point2d project(double x, double y, double h = 0) const;
  cv::Point2d undistorted(cv::Point2d photo_px) const;
  cv::Matx33d photo_from_stack() const;  // before distortion, plane h = 0, h33 = 1
  /// Before distortion: (a, b, 1) is the stack point origin + a * u + b * v, in (x, y, h).
  cv::Matx33d photo_from_plane(const cv::Vec3d& origin, const cv::Vec3d& u,
                               const cv::Vec3d& v) const;
  cv::Point2d centre() const { return {(photo.width - 1) / 2.0, (photo.height - 1) / 2.0}; }
  double half_diagonal() const;
  double px_per_mm() const;  // at the middle of the side
  /// Direction from the side's middle to the camera, stack axes (x, y, h), unit length.
  cv::Vec3d towards_camera() const;
};

Camera place_camera(Dice& dice, const CameraWish& wish);

}  // namespace scene
