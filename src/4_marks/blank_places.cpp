// That no writing was found is no proof that there is none. A number is missing only where its
// place is in plain sight and as empty as the places of the other strips that carry nothing.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kHalfLengthMm = 9, kInnerShare = 0.7;  // of the place looked at, along and across
constexpr double kPxPerMm = 2;
constexpr double kMostCover = 0.15;
constexpr double kLittleInk = 0.25;  // against the nearest strips that carry a number here: faint
                                     // ink is more than that, and ink may fade along a stack
constexpr std::size_t kNearest = 6;  // strips that are compared with
constexpr double kAsEmpty = 1.5;     // against the strips that carry none here
constexpr std::size_t kFewest = 4;   // strips to compare with

cv::Rect2d place_of(const StripPlace& s, double x) {
  const double inset = (1 - kInnerShare) / 2 * (s.bottom_mm - s.top_mm);
  return {x - kHalfLengthMm, s.top_mm + inset, 2 * kHalfLengthMm,
          kInnerShare * (s.bottom_mm - s.top_mm)};
}

// How much is drawn in a box: mean slope of the light against its level.
double ink_in(const Photo& photo, const PlaneView& view, const cv::Rect2d& box) {
  const cv::Size size(static_cast<int>(box.width * kPxPerMm),
                      std::max(4, static_cast<int>(box.height * kPxPerMm)));
  cv::Mat map(size, CV_32FC2), patch, grey, dx, dy;
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      const cv::Point2d p =
          view.to_photo(box.tl() + cv::Point2d(x + 0.5, y + 0.5) * (1 / kPxPerMm));
      map.at<cv::Vec2f>(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
    }
  cv::remap(photo.pixels, patch, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::cvtColor(patch, grey, cv::COLOR_BGR2GRAY);
  cv::GaussianBlur(grey, grey, {}, 0.8);
  cv::Sobel(grey, dx, CV_32F, 1, 0), cv::Sobel(grey, dy, CV_32F, 0, 1);
  return (cv::norm(dx, cv::NORM_L1) + cv::norm(dy, cv::NORM_L1)) / double(grey.total()) /
         (cv::mean(grey)[0] + 10);
}

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

// Distance of the strips' numbers from the left end, on the side where most stand; nullopt on
// others.
std::vector<std::optional<double>> numbers_in_column(const StackFrame& frame,
                                                     const std::vector<NumberMark>& marks) {
  std::vector<std::optional<double>> along(marks.size());
  int left = 0, right = 0;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!marks[i].text) continue;
    const Quad& q = marks[i].quad_in_photo;
    along[i] = frame.view.to_stack((q[0] + q[1] + q[2] + q[3]) / 4).x - frame.strips[i].left_mm;
    ++(*along[i] < (frame.strips[i].right_mm - frame.strips[i].left_mm) / 2 ? left : right);
  }
  for (std::size_t i = 0; i < marks.size(); ++i)
    if (along[i] &&
        (*along[i] < (frame.strips[i].right_mm - frame.strips[i].left_mm) / 2) != (left >= right))
      along[i] = std::nullopt;
  return along;
}

struct Known {  // a strip with a number: ink at its place, and where a turned module would have it
  std::size_t strip = 0;
  double written = 0, empty = 0;
};

Known usual_near(std::vector<Known> known, std::size_t strip) {
  const auto apart = [&](const Known& k) {
    return k.strip > strip ? k.strip - strip : strip - k.strip;
  };
  std::sort(known.begin(), known.end(),
            [&](const Known& a, const Known& b) { return apart(a) < apart(b); });
  known.resize(std::min(known.size(), kNearest));
  std::vector<double> written, empty;
  for (const Known& k : known) written.push_back(k.written), empty.push_back(k.empty);
  return {strip, median_of(written), median_of(empty)};
}

}  // namespace

void find_blank_places(const Photo& photo, const StackFrame& frame, const FaceMaps& maps,
                       std::vector<NumberMark>& marks) {
  const auto along = numbers_in_column(frame, marks);
  std::vector<double> places;
  for (const auto& x : along)
    if (x) places.push_back(*x);
  if (places.size() < kFewest) return;
  const double column = median_of(places);
  const auto boxes = [&](std::size_t i) {
    const StripPlace& s = frame.strips[i];
    return std::pair(place_of(s, s.left_mm + column), place_of(s, s.right_mm - column));
  };
  std::vector<Known> known;
  for (std::size_t i = 0; i < marks.size(); ++i)
    if (along[i]) {
      const auto [own, mirrored] = boxes(i);
      known.push_back({i, ink_in(photo, frame.view, own), ink_in(photo, frame.view, mirrored)});
    }
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (marks[i].text || !frame.strips[i].in_photo) continue;
    const auto [own, mirrored] = boxes(i);
    const Known usual = usual_near(known, i);
    marks[i].place_seen = mean_in(maps, FacePlane::cover, own) < kMostCover &&
                          mean_in(maps, FacePlane::cover, mirrored) < kMostCover &&
                          ink_in(photo, frame.view, own) < kLittleInk * usual.written &&
                          ink_in(photo, frame.view, mirrored) < kAsEmpty * usual.empty;
  }
}

}  // namespace plumbstack
