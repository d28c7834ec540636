// The debug pictures of the strips and of the marks.
#include <algorithm>
#include <cstdio>
#include <opencv2/imgproc.hpp>

#include "debug_pictures.hpp"

namespace plumbstack {
namespace {

constexpr double kPictureSide = 1600;  // px
constexpr int kPanel = 700;            // px, for the text beside the side

const cv::Scalar kText(230, 230, 230), kNumber(0, 220, 255), kVent(255, 160, 0),
    kSign(120, 120, 255);  // BGR

void put(cv::Mat& picture, const std::string& text, cv::Point at) {
  cv::putText(picture, text, at, cv::FONT_HERSHEY_PLAIN, 1, kText, 1, cv::LINE_AA);
}

std::string figures_text(std::size_t index, const StripFigures& f) {
  char text[160];
  std::snprintf(text, sizeof text,
                "%zu  blur %.1f px %.2f mm  glare %.2f  level %.2f  contrast %.3f  noise %.4f",
                index + 1, f.blur_px, f.blur_mm, f.glare, f.exposure, f.contrast, f.noise);
  return text;
}

const char* letter(const std::optional<End>& end) {
  return !end ? "middle" : *end == End::left ? "L" : "R";
}

std::string marks_text(std::size_t index, const SlotMarks& slot) {
  char text[160];
  std::string line = std::to_string(index + 1);
  if (!slot.seen) line += "  not seen";
  if (slot.number.text) {
    std::snprintf(text, sizeof text, "  number %s %.3f %d %s", slot.number.text->c_str(),
                  slot.number.confidence, slot.number.rotation_deg, letter(slot.number.end));
    line += text;
  }
  if (slot.vent.end) {
    std::snprintf(text, sizeof text, "  vent %s %.3f", letter(slot.vent.end), slot.vent.confidence);
    line += text;
  }
  if (slot.sign.sign) {
    std::snprintf(text, sizeof text, "  sign %s %.3f", name_of(*slot.sign.sign),
                  slot.sign.confidence);
    line += text;
  }
  return line;
}

void draw_slot(cv::Mat& picture, const PlaneView& view, const SlotMarks& slot, cv::Point2d origin,
               double px_per_mm) {
  const auto at = [&](cv::Point2d photo_px) {
    const cv::Point2d p = (view.to_stack(photo_px) - origin) * px_per_mm;
    return cv::Point(cvRound(p.x), cvRound(p.y));
  };
  const auto outline = [&](const Quad& quad, const cv::Scalar& color) {
    for (std::size_t i = 0; i < 4; ++i)
      cv::line(picture, at(quad[i]), at(quad[(i + 1) % 4]), color, 1, cv::LINE_AA);
  };
  outline(slot.face_in_photo, {90, 90, 90});
  if (slot.number.text) outline(slot.number.quad_in_photo, kNumber);
  if (slot.vent.end) cv::circle(picture, at(slot.vent.centre_in_photo), 7, kVent, 2, cv::LINE_AA);
  if (slot.sign.sign) cv::circle(picture, at(slot.sign.centre_in_photo), 7, kSign, 2, cv::LINE_AA);
}

}  // namespace

cv::Mat draw_strips(const std::vector<StripCut>& strips) {
  constexpr int kLeast = 16;  // px a row, so that the text has room
  double widest = 1, height = 1;
  for (const StripCut& s : strips) {
    widest = std::max(widest, double(s.pixels.cols));
    height += s.pixels.rows;
  }
  const double scale = std::min({1.0, kPictureSide / height, (kPictureSide - kPanel) / widest});
  std::vector<cv::Mat> rows;
  for (std::size_t i = 0; i < strips.size(); ++i) {
    const cv::Size size(std::max(1, cvRound(strips[i].pixels.cols * scale)),
                        std::max(1, cvRound(strips[i].pixels.rows * scale)));
    cv::Mat row(std::max(kLeast, size.height), cvRound(widest * scale) + kPanel, CV_8UC3,
                cv::Scalar::all(30));
    if (!strips[i].pixels.empty())
      cv::resize(strips[i].pixels, row(cv::Rect({}, size)), size, 0, 0, cv::INTER_AREA);
    put(row, figures_text(i, strips[i].figures), {cvRound(widest * scale) + 8, row.rows / 2 + 5});
    rows.push_back(row);
  }
  cv::Mat picture;
  if (!rows.empty()) cv::vconcat(rows, picture);
  return picture;
}

cv::Mat draw_marks(const Photo& photo, const StackFrame& frame, const SideMarks& marks) {
  if (frame.strips.empty()) return {};
  constexpr double kMargin = 15;  // mm
  const StripPlace &first = frame.strips.front(), &last = frame.strips.back();
  const cv::Rect2d region(cv::Point2d(first.left_mm - kMargin, first.top_mm - kMargin),
                          cv::Point2d(last.right_mm + kMargin, last.bottom_mm + kMargin));
  const double px_per_mm =
      std::min(kPictureSide / region.height, (kPictureSide - kPanel) / region.width);
  const cv::Mat side = rectify(photo.pixels, frame.view, region, px_per_mm);
  cv::Mat picture(side.rows, side.cols + kPanel, CV_8UC3, cv::Scalar::all(30));
  side.copyTo(picture(cv::Rect({}, side.size())));
  for (std::size_t i = 0; i < marks.slots.size() && i < frame.strips.size(); ++i) {
    draw_slot(picture, frame.view, marks.slots[i], region.tl(), px_per_mm);
    const double middle = (frame.strips[i].top_mm + frame.strips[i].bottom_mm) / 2;
    put(picture, marks_text(i, marks.slots[i]),
        {side.cols + 8, cvRound((middle - region.y) * px_per_mm) + 5});
  }
  return picture;
}

}  // namespace plumbstack
