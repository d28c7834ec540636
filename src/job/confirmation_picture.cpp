// The person must see which strip is meant and how it lies, so the neighbours stay in the picture;
// two lines beside the strip mark it and cover nothing of it.
#include <algorithm>
#include <cstdio>
#include <opencv2/imgproc.hpp>

#include "plumbstack/job_documents.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

constexpr double kLongest = 1400, kShortest = 700;  // px along the strip
constexpr double kMargin = 0.75;                    // of the strip's thickness, on both sides
constexpr double kMarginAlong = 0.04;               // of its length, at both ends
constexpr int kQuality = 92;

double length(cv::Point2d a, cv::Point2d b) {
  return cv::norm(a - b);
}

struct Layout {
  double along, across;   // px, the strip itself
  double beside, beyond;  // px, margins across and along
  cv::Size size() const { return {cvRound(along + 2 * beyond), cvRound(across + 2 * beside)}; }
};

Layout layout_of(const Quad& face) {
  const double along = (length(face[0], face[1]) + length(face[3], face[2])) / 2;
  const double across = (length(face[0], face[3]) + length(face[1], face[2])) / 2;
  const double drawn = std::clamp(along, kShortest, kLongest);
  const double scale = along > 0 ? drawn / along : 1;
  return {drawn, across * scale, across * scale * kMargin, drawn * kMarginAlong};
}

cv::Mat strip_view(const cv::Mat& pixels, const Quad& face, const Layout& layout) {
  const float x0 = static_cast<float>(layout.beyond), y0 = static_cast<float>(layout.beside);
  const float x1 = x0 + static_cast<float>(layout.along);
  const float y1 = y0 + static_cast<float>(layout.across);
  const std::array<cv::Point2f, 4> to{cv::Point2f(x0, y0), {x1, y0}, {x1, y1}, {x0, y1}};
  std::array<cv::Point2f, 4> from;
  std::copy(face.begin(), face.end(), from.begin());
  cv::Mat view;
  cv::warpPerspective(pixels, view, cv::getPerspectiveTransform(from.data(), to.data()),
                      layout.size(), cv::INTER_LINEAR, cv::BORDER_CONSTANT, {128, 128, 128});
  const cv::Scalar yellow(0, 220, 255);
  const int top = cvRound(y0) - 3, bottom = cvRound(y1) + 3;
  cv::line(view, {0, top}, {view.cols, top}, yellow, 3);
  cv::line(view, {0, bottom}, {view.cols, bottom}, yellow, 3);
  return view;
}

cv::Mat turned(const cv::Mat& view, int turn_deg) {
  cv::Mat out;
  switch (turn_deg) {
    case 90: cv::rotate(view, out, cv::ROTATE_90_COUNTERCLOCKWISE); return out;
    case 180: cv::rotate(view, out, cv::ROTATE_180); return out;
    case 270: cv::rotate(view, out, cv::ROTATE_90_CLOCKWISE); return out;
    default: return view;
  }
}

// Below the picture, in letters that read at arm's length.
cv::Mat captioned(const cv::Mat& view, const std::vector<std::string>& lines) {
  constexpr int kLine = 44, kPad = 14;
  constexpr double kScale = 1.0;
  int width = view.cols;
  for (const std::string& line : lines)
    width = std::max(
        width,
        2 * kPad + cv::getTextSize(line, cv::FONT_HERSHEY_SIMPLEX, kScale, 2, nullptr).width);
  const int height = view.rows + 2 * kPad + kLine * static_cast<int>(lines.size());
  cv::Mat out(height, width, CV_8UC3, cv::Scalar::all(255));
  view.copyTo(out(cv::Rect((width - view.cols) / 2, 0, view.cols, view.rows)));
  int y = view.rows + kPad;
  for (const std::string& line : lines)
    cv::putText(out, line, {kPad, y += kLine - 8}, cv::FONT_HERSHEY_SIMPLEX, kScale,
                cv::Scalar::all(0), 2, cv::LINE_AA);
  return out;
}

std::string where_up(const UnsureReading& reading) {
  return reading.turn_deg == 0 ? "slot 1 is towards the top"
                               : "turned so that a number in its place is upright";
}

}  // namespace

std::vector<unsigned char> confirmation_picture(const cv::Mat& pixels,
                                                const UnsureReading& reading) {
  const Layout layout = layout_of(reading.face_in_photo);
  const cv::Mat view = strip_view(pixels, reading.face_in_photo, layout);
  // Not which slot it is: who knows what should be there sees it there.
  return jpeg_bytes(captioned(turned(view, reading.turn_deg),
                              {"side " + reading.side + ", between the lines: " + reading.ask,
                               "(" + where_up(reading) + ")"}),
                    kQuality);
}

std::string picture_name(const UnsureReading& reading) {
  char slot[16];
  std::snprintf(slot, sizeof slot, "%02d", reading.slot);
  return reading.side + "-slot-" + slot + "-" + reading.mark + ".jpg";
}

}  // namespace plumbstack
