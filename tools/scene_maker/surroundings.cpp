#include "surroundings.hpp"

#include <cmath>
#include <opencv2/imgproc.hpp>

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
  if (dice.chance(0.35)) draw_lines(dice, photo, cv::Rect({}, size));
  if (dice.chance(0.6)) {  // bench or floor below a horizon
    const int y = static_cast<int>(size.height * dice.uniform(0.3, 0.95));
    const int tilt = static_cast<int>(size.width * dice.normal(0.04));
    const std::vector<cv::Point> floor{
        {0, y - tilt}, {size.width, y + tilt}, {size.width, size.height}, {0, size.height}};
    cv::fillConvexPoly(photo, floor, dice.any_color(0.5), cv::LINE_AA);
    if (dice.chance(0.4)) draw_lines(dice, photo, {0, y, size.width, size.height - y});
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

void draw_clutter(Dice& dice, cv::Mat& photo, int pieces) {
  for (; pieces > 0; --pieces) {
    const cv::Point2f at(static_cast<float>(dice.uniform(0, photo.cols)),
                         static_cast<float>(dice.uniform(0, photo.rows)));
    const float w = static_cast<float>(photo.cols * dice.uniform(0.03, 0.3)),
                h = w * static_cast<float>(dice.uniform(0.2, 1.5));
    const cv::Scalar color = dice.any_color(0.8);
    const int kind = dice.whole(0, 4);
    if (kind <= 1) {
      cv::Point2f corner[4];
      cv::RotatedRect(at, {w, h}, static_cast<float>(dice.uniform(0, 180))).points(corner);
      std::vector<cv::Point> box(corner, corner + 4);
      cv::fillConvexPoly(photo, box, color, cv::LINE_AA);
      if (kind == 1) {  // a second face: a carton
        const cv::Point up(static_cast<int>(w * 0.2), -static_cast<int>(h * 0.3));
        const std::vector<cv::Point> lid{box[0], box[1], box[1] + up, box[0] + up};
        cv::fillConvexPoly(photo, lid, shaded(color, 1.3), cv::LINE_AA);
      }
      // Strips like a stack of something else: a comb that is no stack.
      if (dice.chance(0.25))
        for (int i = dice.whole(3, 12); i > 0; --i)
          cv::line(photo, box[0] + (box[1] - box[0]) * (i / 13.0),
                   box[3] + (box[2] - box[3]) * (i / 13.0), shaded(color, 0.5), 2, cv::LINE_AA);
    } else if (kind == 2) {
      cv::circle(photo, at, static_cast<int>(w / 3), color, cv::FILLED, cv::LINE_AA);
      cv::circle(photo, at, static_cast<int>(w / 5), shaded(color, 0.5), cv::FILLED, cv::LINE_AA);
    } else {
      std::vector<cv::Point> path;
      cv::Point2f p = at;
      double heading = dice.uniform(0, 6.3);
      for (int i = 0; i < 30; ++i) {
        path.push_back(p);
        heading += dice.normal(0.35);
        p += cv::Point2f(static_cast<float>(std::cos(heading)),
                         static_cast<float>(std::sin(heading))) *
             (w / 10);
      }
      const int wide = std::max(2, static_cast<int>(photo.cols * dice.uniform(0.003, 0.014)));
      cv::polylines(photo, path, false, shaded(color, 0.6), wide + 2, cv::LINE_AA);
      cv::polylines(photo, path, false, color, wide, cv::LINE_AA);
    }
  }
}

void Canvas::polygon(const std::vector<cv::Vec3d>& mm, const cv::Scalar& bgr, bool covers) {
  std::vector<cv::Point> fine, quarter;
  for (const cv::Vec3d& p : mm) {
    const cv::Point2d q = camera->project(p[0], p[1], p[2]);
    fine.emplace_back(static_cast<int>(std::lround(q.x * 16)),
                      static_cast<int>(std::lround(q.y * 16)));
    quarter.emplace_back(static_cast<int>(std::lround(q.x * 4)),
                         static_cast<int>(std::lround(q.y * 4)));
  }
  cv::fillPoly(photo, std::vector<std::vector<cv::Point>>{fine}, bgr, cv::LINE_AA, 4);
  if (covers)
    cv::fillPoly(cover, std::vector<std::vector<cv::Point>>{quarter}, cv::Scalar(255), cv::LINE_8,
                 4);
}

void Canvas::bar(const cv::Vec3d& a, const cv::Vec3d& b, double radius, const cv::Scalar& bgr,
                 double shine, bool covers) {
  const cv::Vec3d along = (b - a) / cv::norm(b - a);
  const cv::Vec3d eye = camera->towards_camera();
  cv::Vec3d side = along.cross(eye);
  side /= std::max(1e-9, cv::norm(side));
  const cv::Vec3d up = side.cross(along);
  constexpr int kFacets = 12;
  for (int i = 0; i < kFacets; ++i) {
    const double from = -CV_PI / 2 + CV_PI * i / kFacets, to = from + CV_PI / kFacets,
                 mid = (from + to) / 2;
    const cv::Vec3d n = side * std::sin(mid) + up * std::cos(mid);
    const cv::Vec3d p = side * std::sin(from) * radius + up * std::cos(from) * radius;
    const cv::Vec3d q = side * std::sin(to) * radius + up * std::cos(to) * radius;
    const double diffuse = 0.45 + 0.6 * std::max(0.0, n.dot(lamp));
    const double gleam =
        shine * std::pow(std::max(0.0, n.dot((lamp + eye) / cv::norm(lamp + eye))), 30);
    cv::Scalar color = shaded(bgr, diffuse);
    for (int c = 0; c < 3; ++c) color[c] = std::min(255.0, color[c] + 200 * gleam);
    polygon({a + p, b + p, b + q, a + q}, color, covers);
  }
}

void Canvas::tube(cv::Point2d at, double radius, double from_h, double to_h, const cv::Scalar& bgr,
                  bool hole, bool covers) {
  constexpr int kSides = 20;
  const auto rim = [&](int i, double r, double h) {
    const double a = 2 * CV_PI * i / kSides;
    return cv::Vec3d(at.x + r * std::cos(a), at.y + r * std::sin(a), h);
  };
  const cv::Vec3d eye = camera->towards_camera();
  for (int i = 0; i < kSides; ++i) {
    const double a = 2 * CV_PI * (i + 0.5) / kSides;
    const cv::Vec3d n(std::cos(a), std::sin(a), 0);
    if (n.dot(eye) <= 0) continue;
    polygon({rim(i, radius, from_h), rim(i + 1, radius, from_h), rim(i + 1, radius, to_h),
             rim(i, radius, to_h)},
            shaded(bgr, 0.5 + 0.55 * std::max(0.0, n.dot(lamp))), covers);
  }
  std::vector<cv::Vec3d> top, inner;
  for (int i = 0; i < kSides; ++i)
    top.push_back(rim(i, radius, to_h)), inner.push_back(rim(i, radius * 0.5, to_h));
  polygon(top, shaded(bgr, 0.55 + 0.6 * std::max(0.0, lamp[2])), covers);
  if (hole) polygon(inner, shaded(bgr, 0.15), covers);
}

}  // namespace scene
