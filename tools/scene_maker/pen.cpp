#include "pen.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

constexpr int kShift = 4;  // fractional bits of OpenCV's drawing
constexpr int kSteps = 6;  // of a spline between two points

// Points of a stroke smoothed by a Catmull-Rom spline; a point that stands twice stays a corner.
std::vector<cv::Point2d> smoothed(const Stroke& stroke) {
  std::vector<cv::Point2d> out;
  const auto at = [&](int i) {
    return stroke[static_cast<std::size_t>(std::clamp(i, 0, static_cast<int>(stroke.size()) - 1))];
  };
  for (int i = 0; i + 1 < static_cast<int>(stroke.size()); ++i) {
    const cv::Point2d p1 = at(i), p2 = at(i + 1);
    if (cv::norm(p1 - p2) < 1e-6) continue;
    const cv::Point2d p0 = at(i - 1), p3 = at(i + 2);
    for (int s = 0; s < kSteps; ++s) {
      const double t = s / double{kSteps}, t2 = t * t, t3 = t2 * t;
      out.push_back(0.5 * (2 * p1 + (p2 - p0) * t + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t2 +
                           (3 * p1 - p0 - 3 * p2 + p3) * t3));
    }
  }
  out.push_back(stroke.back());
  return out;
}

// Leaves out places closer than `step` px to the one before: under a broad pen they show nothing.
std::vector<cv::Point2d> thinned(const std::vector<cv::Point2d>& path, double step) {
  std::vector<cv::Point2d> out{path.front()};
  for (const cv::Point2d& p : path)
    if (cv::norm(p - out.back()) >= step) out.push_back(p);
  if (out.back() != path.back()) out.push_back(path.back());
  return out;
}

cv::Point fixed(const cv::Point2d& p) {
  return {cvRound(p.x * (1 << kShift)), cvRound(p.y * (1 << kShift))};
}

// The area that a flat tip sweeps between two places, as the hull of both.
void sweep(cv::Mat& mask, const cv::Point2d& a, const cv::Point2d& b, const cv::Point2d& nib) {
  const std::array<cv::Point, 4> corners{fixed(a - nib), fixed(a + nib), fixed(b + nib),
                                         fixed(b - nib)};
  cv::fillConvexPoly(mask, corners.data(), 4, cv::Scalar(255), cv::LINE_AA, kShift);
}

void draw_line(cv::Mat& mask, const std::vector<cv::Point2d>& path, double width, const Pen& pen,
               Dice& dice) {
  const double phase = dice.uniform(0, 6), speed = dice.uniform(0.1, 0.4);
  const cv::Point2d nib =
      0.5 * width * cv::Point2d(std::cos(pen.nib_angle), std::sin(pen.nib_angle));
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    double wide = width * (1 + pen.uneven * std::sin(phase + speed * static_cast<double>(i)));
    if (pen.chisel) {
      sweep(mask, path[i], path[i + 1], nib);
      wide *= 0.4;
    }
    cv::line(mask, fixed(path[i]), fixed(path[i + 1]), cv::Scalar(255), std::max(1, cvRound(wide)),
             cv::LINE_AA, kShift);
  }
  for (const cv::Point2d& end : {path.front(), path.back()})
    if (dice.chance(pen.blob))
      cv::circle(mask, fixed(end), cvRound(width * dice.uniform(0.55, 0.85) * (1 << kShift)),
                 cv::Scalar(255), cv::FILLED, cv::LINE_AA, kShift);
}

// Bare streaks along the stroke, more of them towards its end, as of a tip that runs dry.
void draw_streaks(cv::Mat& mask, const std::vector<cv::Point2d>& path, double width, const Pen& pen,
                  Dice& dice) {
  const int streaks = cvRound(pen.dryness * dice.uniform(2, 7));
  for (int s = 0; s < streaks; ++s) {
    const double aside = dice.uniform(-0.5, 0.5) * width;
    const double level = dice.uniform(0, 140);
    const double start = dice.uniform(0.1, 1), stop = start + dice.uniform(0.1, 0.7);
    const auto n = static_cast<double>(path.size());
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
      const double along = static_cast<double>(i) / n;
      if (along < start || along > stop) continue;
      const cv::Point2d d = path[i + 1] - path[i];
      const double length = std::max(1e-6, cv::norm(d));
      const cv::Point2d off(-d.y / length * aside, d.x / length * aside);
      cv::line(mask, fixed(path[i] + off), fixed(path[i + 1] + off), cv::Scalar(level),
               std::max(1, cvRound(width * 0.09)), cv::LINE_AA, kShift);
    }
  }
}

Stroke bent(const Stroke& stroke, double height, const HandShape& shape, Dice& dice) {
  Stroke out;
  for (const cv::Point2d& p : stroke) {
    const double y = p.y + dice.normal(shape.shake);
    const double x = (p.x + dice.normal(shape.shake)) * shape.width * (1 + shape.bulge * (y - 0.5));
    const cv::Point2d moved(x + (0.5 - y) * shape.slant + shape.bow * 4 * y * (1 - y), y);
    // A point that stands twice is a corner: it must be shaken only once.
    const bool again = !out.empty() && &p != &stroke.front() && *(&p - 1) == p;
    out.push_back(again ? out.back() : moved * height);
  }
  return out;
}

}  // namespace

Glyph pen_glyph(const Skeleton& way, double height, const HandShape& shape, const Pen& pen,
                Dice& dice) {
  std::vector<std::vector<cv::Point2d>> paths;
  cv::Rect2d box;
  for (const Stroke& stroke : way) {
    paths.push_back(thinned(smoothed(bent(stroke, height, shape, dice)), 0.3 * pen.width * height));
    for (const cv::Point2d& p : paths.back())
      box = box.empty() ? cv::Rect2d(p.x, p.y, 1e-3, 1e-3) : box | cv::Rect2d(p.x, p.y, 1e-3, 1e-3);
  }
  const double width = pen.width * height, room = width * 1.2 + 3;
  Glyph glyph;
  glyph.mask = cv::Mat::zeros(cvCeil(box.height + 2 * room), cvCeil(box.width + 2 * room), CV_8U);
  const cv::Point2d origin(room - box.x, room - box.y);
  for (std::vector<cv::Point2d>& path : paths) {
    for (cv::Point2d& p : path) p += origin;
    draw_line(glyph.mask, path, width, pen, dice);
  }
  if (pen.dryness > 0)
    for (const std::vector<cv::Point2d>& path : paths)
      draw_streaks(glyph.mask, path, width, pen, dice);
  glyph.left = room - width / 2;  // pen's place is the left edge of the ink
  glyph.top = origin.y;
  glyph.advance = box.width + width;
  return glyph;
}

}  // namespace scene
