#include "plumbstack/base/geometry.hpp"

#include <cmath>

namespace plumbstack {

Edge opposite(Edge edge) {
  switch (edge) {
    case Edge::top: return Edge::bottom;
    case Edge::bottom: return Edge::top;
    case Edge::left: return Edge::right;
    case Edge::right: return Edge::left;
  }
  return Edge::top;
}

const char* name_of(End end) {
  return end == End::left ? "left" : "right";
}

const char* name_of(Edge edge) {
  switch (edge) {
    case Edge::top: return "top";
    case Edge::bottom: return "bottom";
    case Edge::left: return "left";
    case Edge::right: return "right";
  }
  return "top";
}

const char* name_of(Sign sign) {
  return sign == Sign::plus ? "+" : "-";
}

cv::Point2d map_point(const cv::Matx33d& homography, cv::Point2d point) {
  const cv::Vec3d mapped = homography * cv::Vec3d(point.x, point.y, 1);
  return {mapped[0] / mapped[2], mapped[1] / mapped[2]};
}

Quad half_turned(const Quad& quad) {
  return {quad[2], quad[3], quad[0], quad[1]};
}

int nearest_quarter_turn(double degrees_clockwise) {
  const int turns = static_cast<int>(std::lround(degrees_clockwise / 90.0)) % 4;
  return (turns < 0 ? turns + 4 : turns) * 90;
}

}  // namespace plumbstack
