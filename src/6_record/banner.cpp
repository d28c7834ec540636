// The verdict, to be read at arm's length: word, sign and ground differ in shape and in grey alike
// (pass: white on middle blue; fix: white on black between barrier stripes; retake: black on bright
// yellow with a dashed rim).
#include <cmath>

#include "picture_parts.hpp"

namespace plumbstack {
namespace {

std::string word_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "PASS";
    case Verdict::fix: return "FIX";
    case Verdict::retake: return "RETAKE";
  }
  return "RETAKE";
}

void check_mark(Canvas& canvas, cv::Point2d m, double r, const Ink& ink) {
  canvas.ring(m, 0.92 * r, ink, 0.13 * r);
  canvas.stroke({m + cv::Point2d(-0.45, 0.02) * r, m + cv::Point2d(-0.12, 0.36) * r,
                 m + cv::Point2d(0.48, -0.34) * r},
                false, ink, 0.24 * r);
}

// An open-ended spanner, slanting.
void spanner(Canvas& canvas, cv::Point2d m, double r, const Ink& ink, const Ink& ground) {
  const cv::Point2d d(0.707, -0.707), side(0.707, 0.707);
  const cv::Point2d head = m + d * (0.5 * r), tail = m - d * (0.62 * r);
  canvas.stroke({tail, head}, false, ink, 0.36 * r);
  canvas.disc(tail, 0.27 * r, ink);
  canvas.disc(tail, 0.1 * r, ground);
  canvas.disc(head, 0.46 * r, ink);
  const cv::Point2d jaw = side * (0.17 * r);
  canvas.fill({head - d * (0.1 * r) + jaw, head - d * (0.1 * r) - jaw, head + d * (0.6 * r) - jaw,
               head + d * (0.6 * r) + jaw},
              ground);
}

void camera(Canvas& canvas, cv::Point2d m, double r, const Ink& ink, const Ink& ground) {
  canvas.fill(cv::Rect2d(m.x - 0.92 * r, m.y - 0.48 * r, 1.84 * r, 1.14 * r), ink, 0.16 * r);
  canvas.fill(cv::Rect2d(m.x - 0.36 * r, m.y - 0.72 * r, 0.72 * r, 0.4 * r), ink, 0.1 * r);
  canvas.disc({m.x, m.y + 0.09 * r}, 0.42 * r, ground);
  canvas.disc({m.x, m.y + 0.09 * r}, 0.24 * r, ink);
}

// Breaks at the last space at which the first line still fits.
std::pair<std::string, std::string> two_lines(Canvas& canvas, const std::string& text, double size,
                                              double room) {
  std::size_t at = std::string::npos;
  for (std::size_t i = text.find(' '); i != std::string::npos; i = text.find(' ', i + 1))
    if (canvas.text_width(text.substr(0, i), size) <= room) at = i;
  if (at == std::string::npos) return {text, ""};
  return {text.substr(0, at), text.substr(at + 1)};
}

void write_lines(Canvas& canvas, const BannerText& text, double at, double room, double height,
                 const Ink& ink) {
  const double big = 0.30 * height, middle = 0.24 * height, small = 0.19 * height;
  if (canvas.text_width(text.headline, big) <= room) {
    canvas.text(text.headline, {at, 0.35 * height}, big, ink);
    canvas.text(canvas.shortened(text.context, small, room, false), {at, 0.70 * height}, small, ink,
                Align::left, false);
    return;
  }
  const auto [first, second] = two_lines(canvas, text.headline, middle, room);
  canvas.text(canvas.shortened(first, middle, room), {at, 0.23 * height}, middle, ink);
  canvas.text(canvas.shortened(second, middle, room), {at, 0.51 * height}, middle, ink);
  canvas.text(canvas.shortened(text.context, small, room, false), {at, 0.79 * height}, small, ink,
              Align::left, false);
}

}  // namespace

void draw_verdict_sign(Canvas& canvas, Verdict verdict, cv::Point2d middle, double arm,
                       const Ink& ink, const Ink& ground) {
  switch (verdict) {
    case Verdict::pass: return check_mark(canvas, middle, arm, ink);
    case Verdict::fix: return spanner(canvas, middle, arm, ink, ground);
    case Verdict::retake: return camera(canvas, middle, arm, ink, ground);
  }
}

void draw_banner(Canvas& canvas, const BannerText& text, double width, double height) {
  canvas.place({});
  const Ink ground = text.verdict == Verdict::pass  ? kBlue
                     : text.verdict == Verdict::fix ? kDark
                                                    : kYellow;
  const Ink ink = text.verdict == Verdict::retake ? kDark : kLight;
  canvas.fill(cv::Rect2d(0, 0, width, height), ground);
  double at = 0.25 * height, end = width - 0.3 * height;
  if (text.verdict == Verdict::fix) {
    canvas.stripes({0, 0, 0.35 * height, height}, kDark, kOrange, 0.16 * height);
    canvas.stripes({width - 0.35 * height, 0, 0.35 * height, height}, kDark, kOrange,
                   0.16 * height);
    at = 0.55 * height, end = width - 0.55 * height;
  } else if (text.verdict == Verdict::retake) {
    canvas.stroke(cv::Rect2d(0.05 * height, 0.05 * height, width - 0.1 * height, 0.9 * height),
                  kDark, 0.045 * height, 0.16 * height);
  }
  draw_verdict_sign(canvas, text.verdict, {at + 0.36 * height, 0.5 * height}, 0.36 * height, ink,
                    ground);
  at += 0.95 * height;
  const double big = 0.72 * height;
  canvas.text(word_of(text.verdict), {at, 0.5 * height}, big, ink);
  at += canvas.text_width(word_of(text.verdict), big) + 0.35 * height;
  // A long sentence first gets smaller letters, then an ellipsis.
  write_lines(canvas, text, at, end - at, height, ink);
}

}  // namespace plumbstack
