#include "second_opinion.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace plumbstack {
namespace {

constexpr double kTextPx = 48;   // greatest height of the text in the crop
constexpr double kShown = 0.05;  // cover under which all of a writing is taken to be seen

}  // namespace

UprightCrop upright_crop(const Photo& photo, const PlaneView& view, const Writing& w,
                         int rotation_deg) {
  const double a = rotation_deg * CV_PI / 180;
  const cv::Point2d along(std::cos(a), std::sin(a)), down(-std::sin(a), std::cos(a));
  const double photo_scale =
      cv::norm(view.to_photo(w.centre_mm + down / 2) - view.to_photo(w.centre_mm - down / 2));
  // Never finer than the photo by more than one half: that only costs time.
  const double scale = std::min(kTextPx / w.height_mm, 1.5 * photo_scale);
  const int fine = std::clamp(static_cast<int>(std::lround(photo_scale / scale)), 1, 4);
  const cv::Size size(cvRound((w.length_mm + 2 * kGroundBeside * w.height_mm) * scale) + 1,
                      cvRound((1 + 2 * kGroundAbove) * w.height_mm * scale) + 1);
  cv::Mat map(size * fine, CV_32FC2), crop;
  for (int y = 0; y < map.rows; ++y)
    for (int x = 0; x < map.cols; ++x) {
      const double u = (x - (map.cols - 1) / 2.0) / (scale * fine),
                   v = (y - (map.rows - 1) / 2.0) / (scale * fine);
      const cv::Point2d p = view.to_photo(w.centre_mm + along * u + down * v);
      map.at<cv::Vec2f>(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
    }
  cv::remap(photo.pixels, crop, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  if (fine > 1) cv::resize(crop, crop, size, 0, 0, cv::INTER_AREA);
  UprightCrop upright{{}, w.height_mm * scale};
  cv::cvtColor(crop, upright.grey, cv::COLOR_BGR2GRAY);
  return upright;
}

std::optional<std::string> second_opinion(const Photo& photo, const PlaneView& view,
                                          const Writing& writing, int rotation_deg,
                                          SecondReader& second) {
  const UprightCrop crop = upright_crop(photo, view, writing, rotation_deg);
  const std::optional<SecondReading> read = second.read(crop.grey, crop.text_px);
  if (!read) return std::nullopt;
  return read->text;
}

double combined_confidence(const SecondOpinionTables& tables, const Reading& first,
                           const std::optional<std::string>& second) {
  const Calibration& table = !second                 ? tables.silent
                             : *second == first.text ? tables.agrees
                                                     : tables.disagrees;
  return table.look_up(first.score);
}

double TwoReaders::confidence(const Writing& writing, int rotation_deg,
                              const Reading& first) const {
  const double alone = calibrations.number.look_up(first.score);
  const SecondOpinionTables& tables = calibrations.second;
  if (first.text.empty() || alone >= sure || tables.agrees.look_up(first.score) < sure)
    return alone;
  if (writing.covered > kShown) return alone;  // what is hidden is hidden from both
  const auto other = second_opinion(photo, view, writing, rotation_deg, second);
  if (!second.note().empty()) return alone;  // it could not be asked: that says nothing
  const double combined = combined_confidence(tables, first, other);
  // Only an agreement is a reason for more trust. The tables are measured on other crops than the
  // network's own, and where those are easier even silence would seem to speak for a reading.
  return other == first.text ? combined : std::min(alone, combined);
}

}  // namespace plumbstack
