#include "crop_frame.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

// Off the crop's middle as a finder is off; cut texts lie on the border.
cv::Point2d offset_of(const Frame& f, CropKind kind, Dice& dice) {
  if (kind == CropKind::cut) {
    const bool sideways = dice.chance(0.4);
    const double where = dice.pick({-1, 1}) * dice.uniform(0.48, 0.62);
    // Of a longer text whole digits would be left: cut it lengthwise.
    if (sideways && f.width < 0.8 * f.height) return {where * kCanvas.width, dice.normal(5)};
    return {dice.normal(10), where * kCanvas.height};
  }
  const double rx =
      std::min(0.15 * kCanvas.height, std::max(0.0, (kCanvas.width - f.width) / 2 - 2));
  const double ry =
      std::min(0.15 * kCanvas.height, std::max(0.0, (kCanvas.height - f.height) / 2 - 2));
  return {dice.uniform(-rx, rx), dice.uniform(-ry, ry)};
}

}  // namespace

cv::Matx33d shift(const cv::Point2d& p) {
  return {1, 0, p.x, 0, 1, p.y, 0, 0, 1};
}

Frame frame_of(const cv::Mat& mask, const CropPlan& plan, Dice& dice) {
  Frame f;
  if (mask.empty()) return f;
  const double w = std::max(4, mask.cols - 4), h = std::max(4, mask.rows - 4);
  double scale = kFiner * std::min(28 / h, 82 / w) * std::exp(dice.uniform(-0.28, 0.36));
  // A long text must not be turned out of the crop.
  const double most =
      std::min(0.21, std::max(0.02, (kCanvas.height - 6 - scale * h) / (scale * w)));
  f.turn = std::clamp(dice.normal(0.08), -most, most);
  scale = std::min({scale, 0.95 * kCanvas.width / (w + h * std::abs(std::sin(f.turn))),
                    0.97 * kCanvas.height / (h + 0.5 * w * std::abs(std::sin(f.turn)))});
  f.width = scale * w;
  f.height = scale * h;
  f.text_px = plan.turn % 2 == 1 ? f.width : f.height;
  const cv::Point2d off = offset_of(f, plan.kind, dice);
  f.centre += off;
  const double c = std::cos(f.turn) * scale, s = std::sin(f.turn) * scale;
  const cv::Matx33d turn(c, -s, 0, s, c, 0, 0, 0, 1);
  const cv::Matx33d shear(std::exp(dice.normal(0.05)), std::clamp(dice.normal(0.07), -0.2, 0.2), 0,
                          0, 1, 0, 0, 0, 1);
  const bool flat = dice.chance(0.4);  // seen straight on
  const double far_x = flat ? 0 : dice.normal(0.06) / w, far_y = flat ? 0 : dice.normal(0.06) / w;
  const cv::Matx33d slant(1, 0, 0, 0, 1, 0, far_x, far_y, 1);
  f.map = shift(f.centre) * turn * shear * slant;
  return f;
}

cv::Mat on_canvas(const cv::Mat& mask, const cv::Matx33d& map) {
  cv::Mat wide, out;
  const cv::Point2d middle((mask.cols - 1) / 2.0, (mask.rows - 1) / 2.0);
  const cv::Matx33d m = map * shift(-middle);
  if (m(2, 0) == 0 && m(2, 1) == 0)
    cv::warpAffine(mask, wide, m.get_minor<2, 3>(0, 0), kCanvas, cv::INTER_LINEAR);
  else
    cv::warpPerspective(mask, wide, m, kCanvas, cv::INTER_LINEAR);
  wide.convertTo(out, CV_32F, 1 / 255.0);
  return out;
}

}  // namespace scene
