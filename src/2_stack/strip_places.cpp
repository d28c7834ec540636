#include <algorithm>
#include <cmath>

#include "centres.hpp"
#include "line_fit.hpp"
#include "parts.hpp"
#include "stagger.hpp"

namespace plumbstack {
namespace {

struct Ends {
  std::vector<EndPoint> left, right;  // x in fitted stack mm
};

cv::Point2d carried(const PlaneView& from, const PlaneView& to, cv::Point2d mm) {
  return to.to_stack(from.to_photo(mm));
}

Ends find_ends(const FaceMaps& maps, const PlaneView& maps_view, const PlaneView& view,
               const std::vector<Interval>& strips, double strip) {
  Ends ends;
  for (const Interval& s : strips)
    for (const bool left : {true, false}) {
      const cv::Point2d near = carried(
          view, maps_view,
          {left ? 0 : strip, carried(maps_view, view, {strip / 2, (s.top + s.bottom) / 2}).y});
      EndPoint end = locate_end(maps, s, left, near.x);
      const cv::Point2d at = carried(maps_view, view, {end.x, end.y});
      end.x = at.x, end.y = at.y;
      (left ? ends.left : ends.right).push_back(end);
    }
  return ends;
}

// How far each end is off the robust line through all ends of its side; nullopt where not seen.
std::vector<std::optional<double>> off_line(const std::vector<EndPoint>& ends) {
  std::vector<cv::Point2d> seen;
  for (const EndPoint& e : ends)
    if (e.strength > 0) seen.emplace_back(e.y, e.x);
  std::vector<std::optional<double>> off(ends.size());
  if (seen.size() < 3) return off;
  const Line line = robust_line(seen);
  for (std::size_t i = 0; i < ends.size(); ++i)
    if (ends[i].strength > 0) off[i] = ends[i].x - line.at(ends[i].y);
  return off;
}

// Where a strip is looked for. A network's ends scatter by more than their own deviation says.
RoughStrip rough_strip(double top, double bottom, const std::optional<double>& l,
                       const std::optional<double>& r) {
  constexpr double kEnds = 0.5, kUnseen = 1.5;  // mm
  RoughStrip rough{top, bottom, 0, kUnseen, l, r};
  if (l && r)
    rough.shift = (*l + *r) / 2, rough.shift_sd = std::hypot(kEnds, (*l - *r) / 2);
  else if (l || r)
    rough.shift = l ? *l : *r, rough.shift_sd = 1.4 * kEnds;
  return rough;
}

std::vector<RoughStrip> rough_strips(const PlaneView& maps_view, const PlaneView& view,
                                     const std::vector<Interval>& strips,
                                     const std::vector<std::optional<double>>& left,
                                     const std::vector<std::optional<double>>& right,
                                     double strip) {
  std::vector<RoughStrip> rough;
  for (std::size_t i = 0; i < strips.size(); ++i)
    rough.push_back(rough_strip(carried(maps_view, view, {strip / 2, strips[i].top}).y,
                                carried(maps_view, view, {strip / 2, strips[i].bottom}).y, left[i],
                                right[i]));
  return rough;
}

double half_thickness(const std::vector<RoughStrip>& strips) {
  std::vector<double> thick;
  for (const RoughStrip& s : strips) thick.push_back(s.bottom - s.top);
  return median_of(thick) / 2;
}

bool inside(const PlaneView& view, const StripPlace& s, cv::Size photo) {
  int in = 0;
  for (int i = 0; i <= 10; ++i)
    for (double y : {s.top_mm, s.bottom_mm}) {
      const cv::Point2d p = view.to_photo({s.left_mm + (s.right_mm - s.left_mm) * i / 10, y});
      in += p.x >= -1 && p.y >= -1 && p.x <= photo.width && p.y <= photo.height;
    }
  return in >= 20;
}

}  // namespace

std::vector<StripPlace> place_strips(const FaceMaps& maps, const PlaneView& maps_view,
                                     const PlaneView& view, const std::vector<Interval>& strips,
                                     double strip, const ModuleSize& size, const cv::Mat& photo) {
  const Ends ends = find_ends(maps, maps_view, view, strips, strip);
  const auto left = off_line(ends.left), right = off_line(ends.right);
  const cv::Mat& cover = maps.plane(FacePlane::cover);
  const auto cell = [&](cv::Point2d p) { return maps.pixel_of(carried(view, maps_view, p)); };
  const std::vector<RoughStrip> rough = rough_strips(maps_view, view, strips, left, right, strip);
  const auto covered = [&](cv::Point2d p) {
    const cv::Point at(cell(p));
    return cv::Rect({}, cover.size()).contains(at) && cover.at<float>(at) > 0.5F;
  };
  const std::vector<Stagger> stagger =
      measure_stagger(cut_strip_rows(photo, view, rough, strip, covered), rough, strip);
  std::vector<int> ways;
  for (const Stagger& one : stagger) ways.push_back(one.way);
  const std::vector<Centre> centres = measure_centres(photo, view, rough, ways, strip, covered);
  const std::vector<std::optional<double>> gaps =
      gaps_between(centres, rough, size.pitch - size.thickness);
  const double half = half_thickness(rough);
  std::vector<StripPlace> places;
  for (std::size_t i = 0; i < strips.size(); ++i) {
    StripPlace place;
    place.top_mm = centres[i].mm - half, place.bottom_mm = centres[i].mm + half;
    if (i < gaps.size()) place.gap_mm = gaps[i];
    place.stagger_mm = stagger[i].mm;
    place.stagger_sd_mm = stagger[i].sd;
    constexpr double kMeasured = 0.4;  // mm: less than what a guess at the ends could claim
    place.ends_seen = left[i] || right[i] || stagger[i].sd < kMeasured;
    place.left_mm = place.stagger_mm;
    place.right_mm = strip + place.stagger_mm;
    const cv::Rect box = cv::Rect(cv::Point(cell({place.left_mm, place.top_mm})),
                                  cv::Point(cell({place.right_mm, place.bottom_mm}))) &
                         cv::Rect({}, cover.size());
    place.cover = box.empty() ? 1 : cv::mean(cover(box) > 0.5)[0] / 255;
    place.in_photo = inside(view, place, photo.size());
    places.push_back(place);
  }
  return places;
}

}  // namespace plumbstack
