// Where the text of a crop lies on the canvas that the crop is drawn on.
#pragma once

#include "crop_plan.hpp"

namespace scene {

/// px; half as fine again as the crop, so that large writing is drawn finer than it is cut.
inline const cv::Size kCanvas(144, 72);
constexpr double kFiner = 1.5;  // canvas px per px of the crop
constexpr double kDrawn = 56;   // px, height at which letters are drawn

/// Where the text lies on the canvas, px.
struct Frame {
  cv::Matx33d map = cv::Matx33d::eye();  // from the text's mask, its centre at 0, to the canvas
  double width = 45, height = 42;        // of the text on the canvas, as turned
  double text_px = 42;                   // the text's own height
  double turn = 0;                       // of the camera, rad
  cv::Point2d centre{kCanvas.width / 2.0, kCanvas.height / 2.0};
};

/// A frame for a text of this mask (upright or turned as planned), inexact as a finder is.
Frame frame_of(const cv::Mat& mask, const CropPlan& plan, Dice& dice);

cv::Matx33d shift(const cv::Point2d& by);

/// The mask (CV_8U), its centre at 0, mapped to the canvas: CV_32F, 0..1.
cv::Mat on_canvas(const cv::Mat& mask, const cv::Matx33d& map);

}  // namespace scene
