#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

struct Turned {  // the crop's own axes, in mm of the side for each pixel
  double c, s;
  Turned(const CropPlace& place, double px_per_mm) {
    const double a = place.rotation_deg * CV_PI / 180;
    c = std::cos(a) / px_per_mm, s = std::sin(a) / px_per_mm;
  }
  cv::Point2d mm(double u, double v) const { return {u * c - v * s, u * s + v * c}; }
};

// Crop pixel -> photo pixel. Over a crop, what lens distortion bends is far less than a pixel.
cv::Mat photo_from_crop(const PlaneView& view, const CropPlace& place, const Turned& turned,
                        cv::Size size) {
  const double right = size.width - 1, bottom = size.height - 1;
  std::array<cv::Point2f, 4> crop, photo;
  for (std::size_t k = 0; k < 4; ++k) {
    const double x = k == 1 || k == 2 ? right : 0, y = k >= 2 ? bottom : 0;
    crop[k] = cv::Point2d(x, y);
    photo[k] = view.to_photo(place.centre_mm + turned.mm(x - right / 2, y - bottom / 2));
  }
  return cv::getPerspectiveTransform(crop.data(), photo.data());
}

// What of the crop lies on its own strip.
cv::Mat own_part(const CropPlace& place, const Turned& turned, cv::Size size) {
  cv::Mat own(size, CV_8U);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const double at =
          place.centre_mm.y + turned.mm(x - (size.width - 1) / 2.0, y - (size.height - 1) / 2.0).y;
      own.at<uchar>(y, x) = at > place.own_top_mm && at < place.own_bottom_mm ? 255 : 0;
    }
  return own;
}

// `conversion`: of cv::cvtColor, or -1 for none.
cv::Mat normalised_crop(const Photo& photo, const PlaneView& view, const CropPlace& place,
                        int conversion) {
  const double photo_scale = cv::norm(view.to_photo(place.centre_mm + cv::Point2d(0.5, 0)) -
                                      view.to_photo(place.centre_mm - cv::Point2d(0.5, 0)));
  // A photo finer than the crop is averaged.
  const int fine = std::clamp(static_cast<int>(std::lround(photo_scale / place.px_per_mm)), 1, 4);
  const cv::Size size = place.size * fine;
  const Turned turned(place, place.px_per_mm * fine);
  cv::Mat crop, out;
  cv::warpPerspective(photo.pixels, crop, photo_from_crop(view, place, turned, size), size,
                      cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  if (conversion >= 0) cv::cvtColor(crop, crop, conversion);
  const cv::Mat own = own_part(place, turned, size);
  crop.setTo(cv::mean(crop, own), ~own);
  if (fine > 1) cv::resize(crop, crop, place.size, 0, 0, cv::INTER_AREA);
  crop.convertTo(out, CV_32F, 1 / 255.0);
  cv::Mat values = out.reshape(1);  // of all channels
  cv::Scalar mean, sd;
  cv::meanStdDev(values, mean, sd);
  values = (values - mean[0]) / (sd[0] + 0.02);
  return values.reshape(out.channels());
}

}  // namespace

cv::Mat grey_crop(const Photo& photo, const PlaneView& view, const CropPlace& place) {
  return normalised_crop(photo, view, place, cv::COLOR_BGR2GRAY);
}

cv::Mat color_crop(const Photo& photo, const PlaneView& view, const CropPlace& place) {
  return normalised_crop(photo, view, place, -1);
}

CropPlace reframed(const CropPlace& place, const Framing& framing) {
  CropPlace better = place;
  const double a = place.rotation_deg * CV_PI / 180, c = std::cos(a), s = std::sin(a);
  const cv::Point2d shift = framing.shift_px / place.px_per_mm;
  better.centre_mm += cv::Point2d(shift.x * c - shift.y * s, shift.x * s + shift.y * c);
  better.px_per_mm *= framing.scale;
  better.rotation_deg -= framing.tilt_deg;
  return better;
}

}  // namespace plumbstack
