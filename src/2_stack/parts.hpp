// Steps of find_stack, each a function of values.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "line_fit.hpp"
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

/// Stack mm to the camera's own axes, up to a scale; the focal length as the photo tells it, or
/// else a phone's usual one.
cv::Matx33d camera_from_stack(const Photo& photo, const PlaneView& view);

/// How much longer a millimetre along the strip looks than one along the axis; 1 in a true view.
double proportions_of(const Photo& photo, const PlaneView& view, cv::Size2d side_mm);
/// Views to start from: the coarse one, and where its proportions can't be, what it may stand for.
std::vector<PlaneView> metric_views(const Photo& photo, const PlaneView& view, cv::Size2d side_mm);

/// One border between strips, followed across the side: points in the maps' own mm.
struct Border {
  std::vector<cv::Point2d> points;
  double y = 0;         // at the middle of the side
  double strength = 0;  // height of its ridge, mean over the side; 0 where it is not seen
};
/// All lines along the strips, from the provisional top.
std::vector<Border> follow_borders(const FaceMaps& maps, double strip_mm, double pitch_mm);

/// The rectified side as the face network saw it.
struct Raster {
  cv::Mat pixels;         // 8-bit BGR
  cv::Point2d origin_mm;  // of the first pixel's centre
  double px_per_mm = 1;
};

struct Look {
  Raster raster;
  FaceMaps maps;
};
/// The side rectified by a view, with some room around it, and what the face network sees there.
Result<Look> look_at_side(const Photo& photo, const PlaneView& view, cv::Size2d side_mm,
                          double pitch_mm, Nets& nets, const FindStackOptions& options);

/// What tells a module from an end plate; figures against what is usual in the stack (1), but
/// misfit, in thicknesses.
struct Likeness {
  double border = 0;    // strength of the weaker of its two borders; 0 = not both seen
  double left_end = 0;  // ridges of its ends
  double right_end = 0;
  double misfit = 0;   // distance of its borders against the thickness
  double surface = 1;  // how far its surface is from its fellows'; more than 1 = less like them
  double marks = 1;    // how much it shows of the marks that its fellows show, 0..1
};

/// A strip between two borders.
struct Interval {
  double top = 0, bottom = 0;  // mm at the middle of the side, in the maps' frame
  std::optional<std::size_t> top_border, bottom_border;
  Likeness likeness;
  double evidence = 0;  // of its border and ends, 0..1
};
/// The line on which the ends of most strips lie: x over y, in the maps' frame.
struct EndLine {
  Line line;
  double strength = 0;  // height of the end plane along it, 0..1; 0 = nothing seen
};
EndLine find_end_line(const FaceMaps& maps, const std::vector<Interval>& strips, bool left,
                      double near_x);

struct ModuleChain {
  std::vector<Interval> strips;  // that may be modules, in a row; the outer ones may be plates
  EndLine left, right;
};
ModuleChain module_chain(const FaceMaps& maps, const Raster& raster,
                         const std::vector<Border>& borders, double strip_mm,
                         const ModuleSize& size);
/// Sets the likeness of marks.
void compare_marks(const FaceMaps& maps, double length, std::vector<Interval>& strips);
/// Probability that an outer interval of a chain is a module; see module_odds.cpp.
double module_probability(const Likeness& likeness);
/// Drops from both ends what is no module. Where the evidence leaves it open the count that the
/// pack expects is taken, so that the slots are looked for in the likelier place; the returned
/// probability of the count rests on the evidence alone, and only it may say that the count is
/// right or wrong.
double trim_chain(std::vector<Interval>& strips, int expected);

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
  bool seen = true;  // false: what was believed before; holds the view where nothing is seen
};
/// Homography and radial term for which the points lie on their lines, robustly.
PlaneView fit_plane(const std::vector<LinePoint>& points, const PlaneView& start,
                    cv::Matx<double, 8, 8>& covariance);

/// Everything of the strips but the view, given the refitted view.
std::vector<StripPlace> place_strips(const FaceMaps& maps, const PlaneView& maps_view,
                                     const PlaneView& view, const std::vector<Interval>& strips,
                                     double strip_mm, const ModuleSize& size, const cv::Mat& photo);

/// The maps as if they had been made by another view: their stack millimetres are that view's.
FaceMaps carried(const FaceMaps& maps, const PlaneView& from, const PlaneView& to);

}  // namespace plumbstack
