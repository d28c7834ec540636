#include "surroundings.hpp"

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {

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
                  double mouth, bool covers) {
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
    top.push_back(rim(i, radius, to_h)), inner.push_back(rim(i, radius * mouth, to_h));
  polygon(top, shaded(bgr, 0.55 + 0.6 * std::max(0.0, lamp[2])), covers);
  if (mouth > 0) polygon(inner, shaded(bgr, 0.15), covers);
}

}  // namespace scene
