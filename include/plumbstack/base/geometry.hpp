// Pixels, frames and corner order, said once for the whole program.
//
//   photo      displayed image (EXIF orientation applied); x right, y down; the centre of the first
//              pixel is (0, 0).
//   stack      millimetres on the plane of the photographed side; x along the strips to the right,
//              y down the stack axis from the outer border of the first strip. The frame is the one
//              the photo is seen in once turned so that strip 0 is at the top.
//
//        stack x ->           Quad order (as seen with strip 0 at the top):
//      y  0 +---------+         [0] top-left     [1] top-right
//      |    | strip 0 |         [3] bottom-left  [2] bottom-right
//      v    +---------+
//           | strip 1 |
//           +---------+
//
// A transform is named target_from_source: photo_from_stack * point_in_stack = point_in_photo.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <optional>

namespace plumbstack {

using Quad = std::array<cv::Point2d, 4>;

enum class End { left, right };
enum class Edge { top, bottom, left, right };  // of the displayed photo
enum class Sign { plus, minus };

inline End other(End end) {
  return end == End::left ? End::right : End::left;
}
inline Sign other(Sign sign) {
  return sign == Sign::plus ? Sign::minus : Sign::plus;
}
Edge opposite(Edge edge);

const char* name_of(End end);    // "left", "right"
const char* name_of(Edge edge);  // "top", "bottom", "left", "right"
const char* name_of(Sign sign);  // "+", "-"

/// Point mapped by a 3x3 homography.
cv::Point2d map_point(const cv::Matx33d& homography, cv::Point2d point);

/// The same corners named in the frame turned by half a turn.
Quad half_turned(const Quad& quad);

/// Nearest multiple of 90 in 0..270.
int nearest_quarter_turn(double degrees_clockwise);

}  // namespace plumbstack
