#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kScale = 3;      // px per mm of the patch looked at
constexpr float kCovered = 0.5F;  // of the plane: a red cable is no red ring
// Chroma (CIE 1976 L*a*b*) beside the plastic's own: from where on it is colour, and where it is
// full colour. Haze and blur make paint pale, but leave its hue.
constexpr double kPale = 18, kFull = 40;

constexpr double kLeastMm2 = 1.5;  // a dot of 1.4 mm across; less is dirt
constexpr double kEndInsetMm = 1;  // what is beside the stack must not reach in
constexpr double kReachMm = 25;    // of a terminal's ring from its sign; further off lie straps
constexpr double kStudMm = 20;     // height of what may be painted: the tip of a stud
constexpr double kDabMm = 5;       // from the place of a sign: paint that lies on it

struct Hues {
  double from, to;  // degrees; paints lie in the middle, rust at 47 to 60
};

Hues hues_of(MarkColor color) {
  switch (color) {
    case MarkColor::red: return {-10, 42};
    case MarkColor::yellow: return {75, 108};
    case MarkColor::green: return {115, 170};
    case MarkColor::blue: return {-100, -50};
    case MarkColor::white:
    case MarkColor::black: break;  // so is glare, so is shadow
  }
  return {0, 0};
}

double median(const cv::Mat& plane, const cv::Mat& which) {
  std::vector<float> values;
  for (int y = 0; y < plane.rows; ++y)
    for (int x = 0; x < plane.cols; ++x)
      if (which.at<uchar>(y, x)) values.push_back(plane.at<float>(y, x));
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// 0 to 1: how much each pixel has of the colour, beyond what the plastic has.
cv::Mat strength_of(const cv::Mat& bgr, const cv::Mat& in_sight, MarkColor color) {
  cv::Mat lab;
  bgr.convertTo(lab, CV_32F, 1 / 255.0);
  cv::cvtColor(lab, lab, cv::COLOR_BGR2Lab);
  std::vector<cv::Mat> planes;
  cv::split(lab, planes);
  const double own_a = median(planes[1], in_sight), own_b = median(planes[2], in_sight);
  const Hues hues = hues_of(color);
  cv::Mat strength(bgr.size(), CV_32F, cv::Scalar(0));
  for (int y = 0; y < bgr.rows; ++y)
    for (int x = 0; x < bgr.cols; ++x) {
      const double a = planes[1].at<float>(y, x) - own_a, b = planes[2].at<float>(y, x) - own_b;
      const double chroma = std::hypot(a, b), hue = std::atan2(b, a) * 180 / CV_PI;
      if (in_sight.at<uchar>(y, x) && chroma > kPale && hue > hues.from && hue < hues.to)
        strength.at<float>(y, x) = static_cast<float>(std::min(1.0, chroma / kFull));
    }
  return strength;
}

// How far along the strip the tip of a stud is seen from its foot, mm.
double lean_of_studs(const Photo& photo, const PlaneView& view, double x_mm) {
  const cv::Point3d camera = camera_over(photo, view);
  if (!(camera.z > 2 * kStudMm)) return 0;  // no camera stands there: the view is odd
  return (x_mm - camera.x) * kStudMm / (camera.z - kStudMm);
}

}  // namespace

Blob largest_blob(const Photo& photo, const PlaneView& view, const FaceMaps& maps,
                  const cv::Rect2d& box, MarkColor color) {
  const cv::Mat patch = rectify(photo.pixels, view, box, kScale);
  if (patch.empty()) return {};
  cv::Mat cover;
  const double step = maps.px_per_mm / kScale;
  const cv::Point2d from = maps.pixel_of(box.tl());
  cv::warpAffine(maps.plane(FacePlane::cover), cover, cv::Matx23d(step, 0, from.x, 0, step, from.y),
                 patch.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  const cv::Mat strength = strength_of(patch, cover < kCovered, color);
  cv::Mat labels, blobs, centres;
  const int count = cv::connectedComponentsWithStats(strength > 0, labels, blobs, centres);
  std::vector<double> mm2(static_cast<std::size_t>(count), 0.0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      mm2[static_cast<std::size_t>(labels.at<int>(y, x))] +=
          strength.at<float>(y, x) / (kScale * kScale);
  Blob largest;
  for (int k = 1; k < count; ++k)
    if (mm2[static_cast<std::size_t>(k)] > largest.mm2)
      largest = {
          mm2[static_cast<std::size_t>(k)],
          box.tl() + cv::Point2d(centres.at<double>(k, 0), centres.at<double>(k, 1)) / kScale};
  return largest;
}

void add_color(const Photo& photo, const PlaneView& view, const FaceMaps& maps,
               const SignRule& rule, SignSpot& spot) {
  if (spot.box.empty()) return;
  const double inset = 0.12 * spot.box.height;  // a neighbour's paint must not reach in
  const double lean = lean_of_studs(photo, view, spot.centre_mm.x);
  const double from =
      std::max(spot.box.x + kEndInsetMm, spot.centre_mm.x - kReachMm) + std::min(lean, 0.0);
  const double to =
      std::min(spot.box.br().x - kEndInsetMm, spot.centre_mm.x + kReachMm) + std::max(lean, 0.0);
  const cv::Rect2d box(from, spot.box.y + inset, to - from, spot.box.height - 2 * inset);
  for (const auto& [sign, color] : rule.colors) {
    if (color == MarkColor::black || color == MarkColor::white)
      continue;  // so is shadow, so is glare
    const Blob blob = largest_blob(photo, view, maps, box, color);
    if (blob.mm2 < kLeastMm2) continue;
    if (spot.color) {  // both colours in one place tell nothing
      spot.color.reset(), spot.painted = false;
      return;
    }
    spot.color = sign;
    spot.painted = cv::norm(blob.centre_mm - spot.centre_mm) < kDabMm;
  }
}

}  // namespace plumbstack
