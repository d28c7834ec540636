#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFloor = 0.15;    // of a plane: lower blobs are almost never writing
constexpr double kDoubtful = 0.3;  // of the height of a peak: one of another direction that counts

double plane_at(const FaceMaps& maps, FacePlane which, cv::Point2d mm) {
  const cv::Mat& plane = maps.plane(which);
  const cv::Point2d p = maps.pixel_of(mm);
  const int x = std::clamp(static_cast<int>(std::lround(p.x)), 0, plane.cols - 1);
  const int y = std::clamp(static_cast<int>(std::lround(p.y)), 0, plane.rows - 1);
  return plane.at<float>(y, x);
}

Writing writing_at(const FaceMaps& maps, const Peak& peak, int quarter) {
  Writing w;
  w.centre_mm = peak.mm;
  w.heat = peak.height;
  w.rotation_deg = quarter * 90;
  w.length_mm = std::max(3.0, 64 * plane_at(maps, FacePlane::text_length, peak.mm));
  w.height_mm = std::max(3.0, 32 * plane_at(maps, FacePlane::text_height, peak.mm));
  return w;
}

// Two peaks within one piece of writing: the planes of two rotations, or two halves of a text. A
// single digit may show nearly as high in the planes of a quarter turn; then both are looked at.
bool same_piece(const Writing& a, const Writing& b) {
  if ((a.rotation_deg - b.rotation_deg) % 180 != 0 &&
      std::min(a.heat, b.heat) > kDoubtful * std::max(a.heat, b.heat))
    return false;
  const double reach =
      0.6 * std::max(std::max(a.length_mm, a.height_mm), std::max(b.length_mm, b.height_mm));
  return cv::norm(a.centre_mm - b.centre_mm) < std::max(4.0, reach);
}

}  // namespace

std::vector<std::vector<Writing>> find_writings(const StackFrame& frame, const FaceMaps& maps,
                                                std::size_t most) {
  std::vector<std::vector<Writing>> all;
  for (const StripPlace& strip : frame.strips) {
    const cv::Rect2d box(strip.left_mm, strip.top_mm, strip.right_mm - strip.left_mm,
                         strip.bottom_mm - strip.top_mm);
    std::vector<Writing> found;
    for (int quarter = 0; quarter < 4; ++quarter)
      for (const Peak& peak :
           peaks_in(maps, static_cast<FacePlane>(static_cast<int>(FacePlane::text_0) + quarter),
                    box, kFloor))
        found.push_back(writing_at(maps, peak, quarter));
    std::sort(found.begin(), found.end(),
              [](const Writing& a, const Writing& b) { return a.heat > b.heat; });
    std::vector<Writing> kept;
    for (const Writing& w : found)
      if (kept.size() < most && std::none_of(kept.begin(), kept.end(),
                                             [&](const Writing& k) { return same_piece(k, w); }))
        kept.push_back(w);
    all.push_back(kept);
  }
  return all;
}

void note_cover(const StackFrame& frame, const FaceMaps& maps,
                std::vector<std::vector<Writing>>& writings) {
  constexpr double kApart = 0.3;  // of the height: digits of a number stand no further apart
  for (std::size_t i = 0; i < writings.size(); ++i)
    for (Writing& w : writings[i]) {
      const bool along = w.rotation_deg % 180 == 0;
      const double half = w.length_mm / 2, near = kApart * w.height_mm;
      // The text itself, then what is just before and just behind it.
      double covered = 0;
      for (const auto& [from, to] :
           {std::pair{-half, half}, {-half - near, -half}, {half, half + near}}) {
        const cv::Rect2d level(from, -w.height_mm / 2, to - from, w.height_mm);
        const cv::Rect2d box =
            along ? level : cv::Rect2d(level.y, level.x, level.height, level.width);
        covered = std::max(covered, mean_in(maps, FacePlane::cover,
                                            (box + w.centre_mm) & box_of(frame.strips[i])));
      }
      w.covered = covered;
    }
}

Quad text_quad(const PlaneView& view, const Writing& w, int rotation_deg) {
  const double a = rotation_deg * CV_PI / 180;
  const cv::Point2d along(std::cos(a), std::sin(a)), down(-std::sin(a), std::cos(a));
  const auto corner = [&](double u, double v) {
    return view.to_photo(w.centre_mm + along * (u * w.length_mm / 2) +
                         down * (v * w.height_mm / 2));
  };
  return {corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)};
}

}  // namespace plumbstack
