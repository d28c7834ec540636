#include "canvas.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace plumbstack {
namespace {

// Height of the capitals of DejaVu Sans as a share of its size (its OS/2 table: 1493 of 2048).
constexpr double kCapitals = 0.729;
constexpr double kPi = std::numbers::pi;

}  // namespace

Canvas::Canvas(cv::Mat bgra)
    : bgra_(std::move(bgra)),
      surface_(cairo_image_surface_create_for_data(bgra_.data, CAIRO_FORMAT_RGB24, bgra_.cols,
                                                   bgra_.rows, static_cast<int>(bgra_.step))),
      to_(cairo_create(surface_.get())) {
  cairo_set_line_join(to_.get(), CAIRO_LINE_JOIN_ROUND);
  // Letters of any size and turn take the same room: measured once, drawn anywhere.
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(to_.get(), options);
  cairo_font_options_destroy(options);
}

void Canvas::place(const Placement& p) {
  cairo_matrix_t matrix;
  cairo_matrix_init(&matrix, p.scale * p.along.x, p.scale * p.along.y, -p.scale * p.along.y,
                    p.scale * p.along.x, p.origin.x, p.origin.y);
  cairo_set_matrix(to_.get(), &matrix);
}

void Canvas::trace(const std::vector<cv::Point2d>& points, bool closed) {
  cairo_new_path(to_.get());
  for (const cv::Point2d& p : points) cairo_line_to(to_.get(), p.x, p.y);
  if (closed) cairo_close_path(to_.get());
}

void Canvas::trace(const cv::Rect2d& box, double radius) {
  const double r = std::min({radius, box.width / 2, box.height / 2});
  const double x1 = box.x + box.width, y1 = box.y + box.height;
  cairo_new_path(to_.get());
  cairo_arc(to_.get(), x1 - r, box.y + r, r, -kPi / 2, 0);
  cairo_arc(to_.get(), x1 - r, y1 - r, r, 0, kPi / 2);
  cairo_arc(to_.get(), box.x + r, y1 - r, r, kPi / 2, kPi);
  cairo_arc(to_.get(), box.x + r, box.y + r, r, kPi, 1.5 * kPi);
  cairo_close_path(to_.get());
}

void Canvas::line(const Ink& ink, double width, double dash) {
  cairo_set_source_rgba(to_.get(), ink.red, ink.green, ink.blue, ink.opacity);
  cairo_set_line_width(to_.get(), width);
  cairo_set_dash(to_.get(), &dash, dash > 0 ? 1 : 0, 0);
  cairo_stroke(to_.get());
}

void Canvas::fill(const std::vector<cv::Point2d>& polygon, const Ink& ink) {
  trace(polygon, true);
  cairo_set_source_rgba(to_.get(), ink.red, ink.green, ink.blue, ink.opacity);
  cairo_fill(to_.get());
}

void Canvas::fill(const cv::Rect2d& box, const Ink& ink, double radius) {
  trace(box, radius);
  cairo_set_source_rgba(to_.get(), ink.red, ink.green, ink.blue, ink.opacity);
  cairo_fill(to_.get());
}

void Canvas::disc(cv::Point2d centre, double radius, const Ink& ink) {
  fill(cv::Rect2d(centre.x - radius, centre.y - radius, 2 * radius, 2 * radius), ink, radius);
}

void Canvas::stroke(const std::vector<cv::Point2d>& points, bool closed, const Ink& ink,
                    double width, double dash) {
  trace(points, closed);
  line(ink, width, dash);
}

void Canvas::stroke(const cv::Rect2d& box, const Ink& ink, double width, double dash,
                    double radius) {
  trace(box, radius);
  line(ink, width, dash);
}

void Canvas::ring(cv::Point2d centre, double radius, const Ink& ink, double width) {
  stroke(cv::Rect2d(centre.x - radius, centre.y - radius, 2 * radius, 2 * radius), ink, width, 0,
         radius);
}

void Canvas::stripes(const cv::Rect2d& box, const Ink& one, const Ink& two, double width) {
  fill(box, one);
  cairo_save(to_.get());
  trace(box, 0);
  cairo_clip(to_.get());
  for (double at = -box.height; at < box.width + width; at += 2 * width)
    fill({{box.x + at, box.y + box.height},
          {box.x + at + width, box.y + box.height},
          {box.x + at + width + box.height, box.y},
          {box.x + at + box.height, box.y}},
         two);
  cairo_restore(to_.get());
}

void Canvas::font(double size, bool bold) {
  cairo_select_font_face(to_.get(), "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(to_.get(), size);
}

double Canvas::text_width(const std::string& utf8, double size, bool bold) {
  font(size, bold);
  cairo_text_extents_t extents;
  cairo_text_extents(to_.get(), utf8.c_str(), &extents);
  return extents.x_advance;
}

void Canvas::text(const std::string& utf8, cv::Point2d middle, double size, const Ink& ink,
                  Align align, bool bold) {
  const double width = text_width(utf8, size, bold);
  const double back = align == Align::left ? 0 : align == Align::middle ? width / 2 : width;
  cairo_new_path(to_.get());
  cairo_move_to(to_.get(), middle.x - back, middle.y + kCapitals * size / 2);
  cairo_set_source_rgba(to_.get(), ink.red, ink.green, ink.blue, ink.opacity);
  cairo_show_text(to_.get(), utf8.c_str());
}

std::string Canvas::shortened(std::string utf8, double size, double room, bool bold) {
  if (text_width(utf8, size, bold) <= room) return utf8;
  while (!utf8.empty() && text_width(utf8 + "…", size, bold) > room) {
    // Bytes 10xxxxxx continue a character of UTF-8 and go with its first byte.
    while (utf8.size() > 1 && (static_cast<unsigned char>(utf8.back()) & 0xC0) == 0x80)
      utf8.pop_back();
    utf8.pop_back();
  }
  return utf8 + "…";
}

// Row by row into the same memory, three bytes where there were four: a second picture of that size
// would be what takes most memory of a whole check.
cv::Mat Canvas::finished() {
  cairo_surface_flush(surface_.get());
  to_.reset();
  surface_.reset();
  const cv::Mat bgra = std::exchange(bgra_, cv::Mat());
  if (!bgra.isContinuous()) {
    cv::Mat bgr;
    cv::cvtColor(bgra, bgr, cv::COLOR_BGRA2BGR);
    return bgr;
  }
  cv::Mat bytes = bgra.reshape(1, 1), row;
  for (int y = 0; y < bgra.rows; ++y) {
    cv::cvtColor(bgra.row(y), row, cv::COLOR_BGRA2BGR);
    std::copy_n(row.ptr(), 3 * bgra.cols, bytes.ptr() + std::size_t(y) * 3 * bgra.cols);
  }
  return bytes.colRange(0, 3 * static_cast<int>(bgra.total())).reshape(3, bgra.rows);
}

}  // namespace plumbstack
