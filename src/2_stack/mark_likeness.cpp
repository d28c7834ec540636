// An end plate bears no number, no vent and no sign where all modules have theirs: how much an
// interval shows of the marks that its fellows show.
#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kInset = 0.1;   // share of the thickness at the borders that is left out
constexpr double kReachMm = 5;   // what a mark may stand off its fellows along the strip
constexpr float kUsual = 0.25F;  // mean height from which most fellows have a mark there

// The highest that any of the planes reaches at each place along the strip, whichever way round the
// strip lies.
cv::Mat profile_of(const FaceMaps& maps, const std::vector<FacePlane>& planes,
                   const Interval& strip, double length) {
  const double inset = kInset * (strip.bottom - strip.top);
  const cv::Rect box = cv::Rect(cv::Point(maps.pixel_of({0, strip.top + inset})),
                                cv::Point(maps.pixel_of({length, strip.bottom - inset}))) &
                       cv::Rect({}, maps.plane(planes.front()).size());
  if (box.width < 8 || box.height < 2) return {};
  cv::Mat profile = cv::Mat::zeros(1, box.width, CV_32F), highest, turned;
  for (const FacePlane plane : planes) {
    cv::reduce(maps.plane(plane)(box), highest, 0, cv::REDUCE_MAX);
    cv::max(profile, highest, profile);
  }
  const int reach = cvRound(kReachMm * maps.px_per_mm);
  cv::dilate(profile, profile, cv::Mat::ones(1, 2 * reach + 1, CV_8U));
  cv::flip(profile, turned, 1);
  return cv::max(profile, turned);
}

}  // namespace

void compare_marks(const FaceMaps& maps, double length, std::vector<Interval>& strips) {
  const std::vector<std::vector<FacePlane>> kinds{
      {FacePlane::text_0, FacePlane::text_90, FacePlane::text_180, FacePlane::text_270},
      {FacePlane::vent},
      {FacePlane::plus, FacePlane::minus}};
  if (strips.size() < 5) return;
  std::vector<double> shown(strips.size(), 0.0);
  double usual = 0;
  for (const auto& planes : kinds) {
    std::vector<cv::Mat> profiles;
    for (const Interval& s : strips) profiles.push_back(profile_of(maps, planes, s, length));
    // The outer two of each end may be plates: they are compared with what lies within.
    cv::Mat mean;
    const double share = 1.0 / static_cast<double>(strips.size() - 4);
    for (std::size_t i = 2; i + 2 < strips.size(); ++i) {
      if (profiles[i].empty()) return;
      mean = mean.empty() ? cv::Mat(profiles[i] * share) : cv::Mat(mean + profiles[i] * share);
    }
    mean.setTo(0, mean < kUsual);
    usual += mean.dot(mean);
    for (std::size_t i = 0; i < strips.size(); ++i)
      if (profiles[i].size() == mean.size()) shown[i] += mean.dot(cv::min(profiles[i], mean));
  }
  if (usual == 0) return;
  for (std::size_t i = 0; i < strips.size(); ++i) strips[i].likeness.marks = shown[i] / usual;
}

}  // namespace plumbstack
