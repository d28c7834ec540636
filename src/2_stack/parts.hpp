// Steps of find_stack, each a function of values.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "plumbstack/stack.hpp"

namespace plumbstack {

struct Coarse {
  PlaneView view;  // of the side as the pack has it, strip_mm by modules * pitch
  bool lying = false;
  double confidence = 0;
};

/// The photo as the finder sees it, and the map from its pixels back: photo = scale * p + shift.
cv::Mat letterboxed(const cv::Mat& photo, double& scale, cv::Point2d& shift);
/// Reads the finder's planes. nullopt: no stack.
std::optional<Coarse> read_coarse(const std::vector<cv::Mat>& planes, const Photo& photo,
                                  cv::Size2d side_mm, double scale, cv::Point2d shift,
                                  const FindStackOptions& options);

/// One border between strips, followed across the side: points in the maps' own mm.
struct Border {
  std::vector<cv::Point2d> points;
  double y = 0;  // at the middle of the side
};
/// All lines along the strips, from the provisional top.
std::vector<Border> follow_borders(const FaceMaps& maps, double strip_mm, double pitch_mm);

/// Strips as pairs of borders (index of top, index of bottom).
struct Interval {
  double top = 0, bottom = 0;  // mm at the middle of the side, in the maps' frame
  std::optional<std::size_t> top_border, bottom_border;
  double end_evidence = 0;  // of a module's two ends, 0..1
};
/// The intervals that are modules: about a thickness apart, with ends of their own.
std::vector<Interval> module_intervals(const FaceMaps& maps, const std::vector<Border>& borders,
                                       double strip_mm, const ModuleSize& size);

struct EndPoint {
  double x = 0, y = 0;  // mm in the maps' frame
  double sd = 0;        // mm
  double strength = 0;  // 0..1; 0 = not seen
};
/// Sub-pixel place of a strip's end edge.
EndPoint locate_end(const FaceMaps& maps, const Interval& strip, bool left, double near_x);

struct LinePoint {
  cv::Point2d photo_px;
  bool along_x = false;  // true: the point's x is known (an end); false: its y
  double target_mm = 0;
  double weight = 1;
};
/// Homography and radial term for which the points lie on their lines, robustly.
PlaneView fit_plane(const std::vector<LinePoint>& points, const PlaneView& start,
                    cv::Matx<double, 8, 8>& covariance);

/// Everything of the strips but the view, given the refitted view.
std::vector<StripPlace> place_strips(const FaceMaps& maps, const PlaneView& maps_view,
                                     const PlaneView& view, const std::vector<Interval>& strips,
                                     const std::vector<Border>& borders, double strip_mm,
                                     const ModuleSize& size, const cv::Mat& photo);

}  // namespace plumbstack
