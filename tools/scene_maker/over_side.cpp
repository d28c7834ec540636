// What lies over the side: straps, hoses and cables along the stack or across it, hands and rags.
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "surroundings.hpp"

namespace scene {
namespace {

// A way over the side in steps of a few millimetres, from beyond one border to beyond another.
std::vector<cv::Point2d> wandering(Dice& dice, const SidePlan& plan, bool across) {
  constexpr double kStep = 4, kBeyond = 150;  // mm
  const double l = plan.strip, total = plan.axis_mm();
  const double length = (across ? l : total) + 2 * kBeyond, slope = dice.normal(0.25),
               sway = dice.uniform(0, 0.12) * length, waves = dice.uniform(1, 4) * CV_PI / length,
               phase = dice.uniform(0, 2 * CV_PI);
  const double middle = (across ? total : l) * dice.uniform(0.05, 0.95);
  std::vector<cv::Point2d> way;
  for (double s = 0; s < length; s += kStep) {
    const double off = middle + slope * (s - length / 2) + sway * std::sin(waves * s + phase);
    way.push_back(across ? cv::Point2d(s - kBeyond, off) : cv::Point2d(off, s - kBeyond));
  }
  return way;
}

// The shadow that something `wide` throws along its way.
void cast_shadow(Dice& dice, Canvas& canvas, const std::vector<cv::Point2d>& way, double wide) {
  constexpr double kSmall = 0.125;
  cv::Mat shade(canvas.photo.rows / 8, canvas.photo.cols / 8, CV_8UC3, cv::Scalar::all(255));
  const cv::Point2d aside = cv::Point2d(-canvas.lamp[0], -canvas.lamp[1]) * dice.uniform(4, 40);
  const double px = std::max(1.0, 2 * wide * canvas.camera->px_per_mm() * kSmall);
  std::vector<cv::Point> line;
  for (const cv::Point2d& p : way)
    line.push_back(canvas.camera->project(p.x + aside.x, p.y + aside.y) * kSmall);
  cv::polylines(shade, line, false, cv::Scalar::all(dice.uniform(70, 200)),
                static_cast<int>(std::lround(px)), cv::LINE_AA);
  cv::GaussianBlur(shade, shade, {}, px * dice.uniform(0.1, 0.6) + 0.3);
  cv::resize(shade, shade, canvas.photo.size(), 0, 0, cv::INTER_LINEAR);
  cv::multiply(canvas.photo, shade, canvas.photo, 1 / 255.0);
}

// A hose or a thick cable, smooth or corrugated.
void draw_hose(Dice& dice, Canvas& canvas, const SidePlan& plan) {
  const std::vector<cv::Point2d> way = wandering(dice, plan, dice.chance(0.65));
  const double radius = dice.uniform(2, 12), h = radius + dice.uniform(0.5, 20);
  const cv::Scalar color = dice.chance(0.4) ? dice.near_color({45, 45, 45}, 20) : dice.any_color(1);
  const double shine = dice.uniform(0, 0.6), rib = dice.chance(0.3) ? dice.uniform(0.8, 0.95) : 1;
  if (dice.chance(0.7)) cast_shadow(dice, canvas, way, radius);
  for (std::size_t i = 1; i < way.size(); ++i) {
    const cv::Point2d from = way[i - 1], to = way[i] + (way[i] - from) * 0.3;  // no gaps at bends
    canvas.bar({from.x, from.y, h}, {to.x, to.y, h}, radius * (i % 2 ? 1 : rib), color, shine,
               true);
  }
}

}  // namespace

void draw_soft_lines(Dice& dice, Canvas& canvas, const SidePlan& plan) {
  const double total = plan.axis_mm(), l = plan.strip;
  if (dice.chance(0.14)) {  // strap
    const double x = l * dice.uniform(0.3, 0.7), w = dice.uniform(6, 20), h = 1.2;
    const cv::Scalar color =
        dice.chance(0.5) ? dice.near_color({190, 190, 190}, 20) : dice.any_color(0.6);
    for (double y = -20; y < total + 20; y += 8)
      canvas.polygon({{x, y, h}, {x + w, y, h}, {x + w, y + 8, h}, {x, y + 8, h}},
                     dice.near_color(color, 4), true);
  }
  if (dice.chance(0.12)) {  // corrugated hose
    const double x = l * dice.uniform(0.1, 0.9), r = dice.uniform(4, 8);
    const cv::Scalar color = dice.near_color({40, 40, 40}, 20);
    for (double y = -10; y < total + 10; y += 3)
      canvas.bar({x, y, 10}, {x, y + 2.2, 10}, r * (static_cast<int>(y / 3) % 2 ? 1 : 0.88), color,
                 0.3, true);
  }
  if (dice.chance(0.15)) draw_hose(dice, canvas, plan);
  for (int i = dice.chance(0.3) ? dice.whole(1, 3) : 0; i > 0; --i) {  // cables
    const cv::Scalar color = dice.any_color(1);
    double x = l * dice.uniform(0.1, 0.9);
    const double r = dice.uniform(0.8, 2), drift = dice.normal(0.05);
    for (double y = -15; y < total + 15; y += 12) {
      const double next = x + 12 * drift + dice.normal(0.5);
      canvas.bar({x, y, 3}, {next, y + 12, 3}, r, color, 0.2, true);
      x = next;
    }
  }
}

void draw_obstacle(Dice& dice, Canvas& canvas, const SidePlan& plan) {
  if (dice.chance(0.35)) {
    for (int i = dice.whole(1, 2); i > 0; --i) draw_hose(dice, canvas, plan);
    return;
  }
  const double total = plan.axis_mm(), y = total * dice.uniform(0.1, 0.9);
  const bool from_left = dice.chance(0.5);
  const cv::Scalar color = dice.any_color(0.9);
  const double reach = plan.strip * dice.uniform(0.35, 0.9), h = 25;
  const double x0 = from_left ? -150 : plan.strip + 150, sign = from_left ? 1 : -1;
  if (dice.chance(0.4)) {  // a rag or a sheet
    std::vector<cv::Vec3d> edge;
    for (int i = 0; i < 14; ++i) {
      const double a = 2 * CV_PI * i / 14, r = plan.strip * dice.uniform(0.2, 0.35);
      edge.emplace_back(plan.strip * (from_left ? 0.3 : 0.7) + r * std::cos(a), y + r * std::sin(a),
                        8);
    }
    canvas.polygon(edge, color, true);
    return;
  }
  const double tip = from_left ? reach : plan.strip - reach;
  canvas.bar({x0, y + dice.normal(20), h}, {tip - sign * 70, y, h}, 32, color, 0.1, true);
  for (int finger = -2; finger <= 1; ++finger)
    canvas.bar({tip - sign * 75, y + finger * 17.0 + 8, h},
               {tip - sign * dice.uniform(0, 18), y + finger * 19.0 + 8, h}, 9.5,
               shaded(color, dice.uniform(0.9, 1.1)), 0.1, true);
}

}  // namespace scene
