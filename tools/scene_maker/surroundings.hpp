// What is round the stack and in front of it: bench, wall, clutter, end plates, studs, rods,
// straps, hoses, hands. Drawn in photo pixels through the camera; whatever covers the side goes
// into `cover`.
#pragma once

#include <opencv2/core.hpp>

#include "camera.hpp"
#include "dice.hpp"
#include "face.hpp"
#include "plan.hpp"

namespace scene {

struct Canvas {
  cv::Mat photo;  // CV_8UC3, full size
  cv::Mat cover;  // CV_8U, a quarter of the size
  const Camera* camera = nullptr;
  cv::Vec3d lamp;

  /// Polygon of stack points with heights (x, y, h).
  void polygon(const std::vector<cv::Vec3d>& mm, const cv::Scalar& bgr, bool covers);
  /// A round bar from a to b, shaded across.
  void bar(const cv::Vec3d& a, const cv::Vec3d& b, double radius, const cv::Scalar& bgr,
           double shine, bool covers);
  /// A short upright tube on the face: base circle to top circle, with a mouth of that share of the
  /// radius on top; 0: closed.
  void tube(cv::Point2d at, double radius, double from_h, double to_h, const cv::Scalar& bgr,
            double mouth, bool covers);
};

/// Anything at all, so that nothing is learnt from it.
cv::Mat draw_background(Dice& dice, cv::Size size);
/// A workbench: wood, rubber mat, steel or concrete in quiet colours, a few things lying about.
cv::Mat draw_bench(Dice& dice, cv::Size size);
void draw_clutter(Dice& dice, cv::Mat& photo, int pieces);

struct Studs {  // past the ends of the strips
  bool any = false;
  double h = 0, reach = 0;  // mm
};

/// Bodies of the modules below the face plane, end plates, studs behind them.
Studs draw_bodies(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look);
/// Studs on the wall that the camera sees.
void draw_near_studs(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look,
                     const Studs& studs);
/// Vent tubes, terminals, studs standing on the face.
void draw_standing(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look);
/// End plates, then the rods over the side or past it.
void draw_frame(Dice& dice, Canvas& canvas, const SidePlan& plan, const Look& look);
/// Straps, hoses and cables over the side.
void draw_soft_lines(Dice& dice, Canvas& canvas, const SidePlan& plan);
/// A gloved hand, a rag, a sheet or hoses over part of the stack.
void draw_obstacle(Dice& dice, Canvas& canvas, const SidePlan& plan);

}  // namespace scene
