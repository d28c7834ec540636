// A camera with square pixels sees a plane at right proportions: with the focal length about known,
// the homography itself tells how much wider or narrower than believed a millimetre along the strip
// is, compared with one along the axis (Zhang 2000, the two constraints of a plane). The coarse
// finder errs where a second side of the stack is in sight; its proportions then are off, and the
// true side is some part of what it saw, at one end of it or the other.
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kRight = 0.12;  // what right proportions may be off by (logarithm)

PlaneView stretched(PlaneView view, double by_x, double by_y, cv::Point2d fixed) {
  view.photo_from_stack = view.photo_from_stack * cv::Matx33d(by_x, 0, fixed.x * (1 - by_x), 0,
                                                              by_y, fixed.y * (1 - by_y), 0, 0, 1);
  return view;
}

}  // namespace

double proportions_of(const Photo& photo, const PlaneView& view, cv::Size2d side) {
  const cv::Matx33d to_middle(1, 0, side.width / 2, 0, 1, side.height / 2, 0, 0, 1);
  const cv::Matx33d b = camera_from_stack(photo, view) * to_middle;
  return cv::norm(b.col(0)) / cv::norm(b.col(1));
}

std::vector<PlaneView> metric_views(const Photo& photo, const PlaneView& view, cv::Size2d side) {
  std::vector<PlaneView> views{view};
  const double off = proportions_of(photo, view, side);
  if (!std::isfinite(off) || off < 0.2 || off > 5 || std::abs(std::log(off)) < kRight) return views;
  for (const double x : {0.0, side.width / 2, side.width})
    views.push_back(stretched(view, 1 / off, 1, {x, 0}));
  views.push_back(stretched(view, 1, off, {0, side.height / 2}));
  return views;
}

}  // namespace plumbstack
