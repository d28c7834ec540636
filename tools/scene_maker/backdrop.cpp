// What lies behind the stack.
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "surroundings.hpp"

namespace scene {
namespace {

void blend_noise(Dice& dice, cv::Mat& photo, double coarse, int octaves, double strength,
                 double fall) {
  cv::Mat noise = smooth_noise(dice, photo.size(), coarse, octaves, fall);
  for (int y = 0; y < photo.rows; ++y)
    for (int x = 0; x < photo.cols; ++x)
      for (int c = 0; c < 3; ++c) {
        uchar& p = photo.at<cv::Vec3b>(y, x)[c];
        p = cv::saturate_cast<uchar>(p * (1 + strength * noise.at<float>(y, x)));
      }
}

void draw_lines(Dice& dice, cv::Mat& photo, const cv::Rect& area) {
  const double pitch_x = dice.uniform(30, 300), pitch_y = dice.uniform(20, 200);
  const cv::Scalar line = dice.any_color(0.3);
  const int wide = dice.whole(1, 5);
  const bool bricks = dice.chance(0.5), both = dice.chance(0.7);
  int row = 0;
  for (double y = area.y; y < area.br().y; y += pitch_y, ++row) {
    cv::line(photo, {area.x, static_cast<int>(y)}, {area.br().x, static_cast<int>(y)}, line, wide,
             cv::LINE_AA);
    if (!both) continue;
    for (double x = area.x + (bricks && row % 2 ? pitch_x / 2 : 0); x < area.br().x; x += pitch_x)
      cv::line(photo, {static_cast<int>(x), static_cast<int>(y)},
               {static_cast<int>(x), static_cast<int>(y + pitch_y)}, line, wide, cv::LINE_AA);
  }
}

// Bricks, tiles or planks, each of its own shade, seen at a slant: rows of like pieces that are no
// modules.
void draw_courses(Dice& dice, cv::Mat& photo, const cv::Rect& area) {
  const bool planks = dice.chance(0.4);
  const double high = dice.uniform(14, 90),
               wide = high * (planks ? dice.uniform(6, 16) : dice.uniform(1, 3.5));
  const double shift = dice.pick({0.0, 0.5, 0.5, 0.33});
  const int joint = dice.whole(0, 4);
  const cv::Scalar piece = dice.any_color(dice.uniform(0.1, 0.7)), mortar = dice.any_color(0.3);
  const double spread = dice.uniform(2, 16);
  cv::Mat wall(1000, 1000, CV_8UC3, mortar), seen;
  int row = 0;
  for (double y = 0; y < wall.rows; y += high, ++row)
    for (double x = -wide * (planks ? dice.uniform(0, 1) : std::fmod(row * shift, 1.0));
         x < wall.cols; x += wide)
      cv::rectangle(wall, cv::Rect2d(x, y, wide - joint, high - joint),
                    dice.near_color(piece, spread), cv::FILLED);
  blend_noise(dice, wall, dice.uniform(4, 60), 4, dice.uniform(0.05, 0.4), 0.8);
  const float w = static_cast<float>(area.width), h = static_cast<float>(area.height);
  const auto off = [&](float span) { return static_cast<float>(dice.uniform(0, 0.8)) * span; };
  const cv::Point2f from[4] = {{0, 0}, {1000, 0}, {1000, 1000}, {0, 1000}};
  const cv::Point2f to[4] = {
      {-off(w), -off(h)}, {w + off(w), -off(h)}, {w + off(w), h + off(h)}, {-off(w), h + off(h)}};
  cv::Mat turned = wall;
  if (dice.chance(0.5)) cv::rotate(wall, turned, cv::ROTATE_90_CLOCKWISE);
  cv::warpPerspective(turned, seen, cv::getPerspectiveTransform(from, to), area.size());
  seen.copyTo(photo(area));
}

void draw_blobs(Dice& dice, cv::Mat& photo) {
  for (int i = dice.whole(4, 22); i > 0; --i) {
    const cv::Point at(dice.whole(0, photo.cols), dice.whole(0, photo.rows));
    const cv::Size reach(dice.whole(photo.cols / 30, photo.cols / 3),
                         dice.whole(photo.cols / 30, photo.cols / 3));
    if (dice.chance(0.5))
      cv::ellipse(photo, at, reach, dice.uniform(0, 180), 0, 360, dice.any_color(1), cv::FILLED,
                  cv::LINE_AA);
    else
      cv::rectangle(photo, cv::Rect(at, reach), dice.any_color(1), cv::FILLED);
  }
  const double sigma = photo.cols * dice.uniform(0.004, 0.02);
  cv::Mat small;
  cv::resize(photo, small, {}, 0.125, 0.125, cv::INTER_AREA);
  cv::GaussianBlur(small, small, {}, sigma / 8 + 0.5);
  cv::resize(small, photo, photo.size(), 0, 0, cv::INTER_CUBIC);
}

}  // namespace

cv::Mat draw_background(Dice& dice, cv::Size size) {
  cv::Mat photo(size, CV_8UC3, dice.any_color(dice.uniform(0, 0.7)));
  if (dice.chance(0.35)) draw_blobs(dice, photo);
  if (dice.chance(0.3))
    draw_courses(dice, photo, cv::Rect({}, size));
  else if (dice.chance(0.35))
    draw_lines(dice, photo, cv::Rect({}, size));
  if (dice.chance(0.6)) {  // bench or floor below a horizon
    const int y = static_cast<int>(size.height * dice.uniform(0.3, 0.95));
    const int tilt = static_cast<int>(size.width * dice.normal(0.04));
    const std::vector<cv::Point> floor{
        {0, y - tilt}, {size.width, y + tilt}, {size.width, size.height}, {0, size.height}};
    cv::fillConvexPoly(photo, floor, dice.any_color(0.5), cv::LINE_AA);
    const cv::Rect below(0, y, size.width, size.height - y);
    if (dice.chance(0.4))
      draw_courses(dice, photo, below);
    else if (dice.chance(0.4))
      draw_lines(dice, photo, below);
  }
  if (dice.chance(0.9))
    blend_noise(dice, photo, dice.uniform(4, 400), dice.whole(2, 6), dice.uniform(0.05, 0.6),
                dice.uniform(0.4, 0.95));
  return photo;
}

cv::Mat draw_bench(Dice& dice, cv::Size size) {
  const cv::Scalar wood(120, 160, 195);
  const bool planks = dice.chance(0.35);
  const cv::Scalar top = planks ? wood
                                : dice.pick({wood, cv::Scalar(75, 80, 70),
                                             cv::Scalar(150, 140, 125), cv::Scalar(165, 168, 170),
                                             cv::Scalar(205, 210, 212), cv::Scalar(120, 110, 85)});
  cv::Mat photo(size, CV_8UC3, dice.near_color(top, 8));
  if (planks) {
    const int wide = dice.whole(size.width / 8, size.width / 3);
    for (int x = dice.whole(0, wide); x < size.width; x += wide)
      cv::line(photo, {x, 0}, {x + dice.whole(-8, 8), size.height}, shaded(top, 0.55), 3,
               cv::LINE_AA);
  }
  blend_noise(dice, photo, dice.uniform(20, 300), 5, dice.uniform(0.05, 0.25), 0.7);
  draw_clutter(dice, photo, dice.whole(1, 5));
  if (dice.chance(0.6)) cv::GaussianBlur(photo, photo, {}, dice.uniform(1, 4));
  return photo;
}

}  // namespace scene
