#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

// Photo place of each pixel of the crop, and whether it lies on the crop's own strip.
void lay_out(const PlaneView& view, const CropPlace& place, double px_per_mm, cv::Mat& map,
             cv::Mat& own) {
  const double a = place.rotation_deg * CV_PI / 180, c = std::cos(a) / px_per_mm,
               s = std::sin(a) / px_per_mm;
  for (int y = 0; y < map.rows; ++y)
    for (int x = 0; x < map.cols; ++x) {
      const double u = x - (map.cols - 1) / 2.0, v = y - (map.rows - 1) / 2.0;
      const cv::Point2d mm = place.centre_mm + cv::Point2d(u * c - v * s, u * s + v * c);
      const cv::Point2d p = view.to_photo(mm);
      map.at<cv::Vec2f>(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
      own.at<uchar>(y, x) = mm.y > place.own_top_mm && mm.y < place.own_bottom_mm ? 255 : 0;
    }
}

// `conversion`: of cv::cvtColor, or -1 for none.
cv::Mat normalised_crop(const Photo& photo, const PlaneView& view, const CropPlace& place,
                        int conversion) {
  const double photo_scale = cv::norm(view.to_photo(place.centre_mm + cv::Point2d(0.5, 0)) -
                                      view.to_photo(place.centre_mm - cv::Point2d(0.5, 0)));
  // A photo finer than the crop is averaged.
  const int fine = std::clamp(static_cast<int>(std::lround(photo_scale / place.px_per_mm)), 1, 4);
  const cv::Size size = place.size * fine;
  cv::Mat map(size, CV_32FC2), own(size, CV_8U), crop, out;
  lay_out(view, place, place.px_per_mm * fine, map, own);
  cv::remap(photo.pixels, crop, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  if (conversion >= 0) cv::cvtColor(crop, crop, conversion);
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
