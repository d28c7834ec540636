// Outlines, slot numbers and tags. Shape and pattern say what colour says too: thin = good, double
// and striped = wrong, dashed with a question mark = unsure.
#include <algorithm>
#include <cmath>

#include "picture_parts.hpp"

namespace plumbstack {
namespace {

constexpr double kBoxOfLetters = 1.25;

Placement in_photo(const LabelLayout& l) {
  // Pixel centres are at whole numbers in the photo, at halves on the drawing surface.
  const double half = 0.5 * l.photo_scale;
  return {l.photo_at + cv::Point2d(half, half), {1, 0}, l.photo_scale};
}

double line_width(const LabelLayout& l) {
  return std::max(1.0 / l.photo_scale, l.letters / 18);
}

std::vector<cv::Point2d> corners(const Quad& q) {
  return {q.begin(), q.end()};
}

void outline(Canvas& canvas, const Quad& quad, Standing standing, double w) {
  const std::vector<cv::Point2d> points = corners(quad);
  Ink shade = kDark;
  shade.opacity = 0.55;
  switch (standing) {
    case Standing::good:
    case Standing::note:
      canvas.stroke(points, true, shade, 2.0 * w);
      canvas.stroke(points, true, kSky, 1.1 * w);
      return;
    case Standing::unseen:
      canvas.stroke(points, true, shade, 2.0 * w, 3 * w);
      canvas.stroke(points, true, kLight, 1.2 * w, 3 * w);
      return;
    case Standing::unsure:
      canvas.stroke(points, true, kDark, 4.0 * w);
      canvas.stroke(points, true, kYellow, 2.4 * w, 7 * w);
      return;
    case Standing::wrong:
      canvas.stroke(points, true, kDark, 6.0 * w);
      canvas.stroke(points, true, kOrange, 4.4 * w);
      canvas.stroke(points, true, kDark, 1.4 * w);
      return;
  }
}

// Corners of a frame around what was read as the number, clear of its strokes.
void number_frame(Canvas& canvas, const SlotView& view, double w) {
  if (!view.number_in_question || !view.marks->number.text) return;
  const Quad& q = view.marks->number.quad_in_photo;
  const cv::Point2d middle = (q[0] + q[1] + q[2] + q[3]) / 4;
  std::vector<cv::Point2d> points;
  for (const cv::Point2d& p : q) points.push_back(middle + (p - middle) * 1.3);
  const bool unsure = view.standing == Standing::unsure;
  canvas.stroke(points, true, kDark, 2.2 * w);
  canvas.stroke(points, true, unsure ? kYellow : kLight, 1.1 * w, unsure ? 3 * w : 0);
}

Placement in_text(const LabelLayout& l) {
  return {l.photo_at + l.frame.origin_in_photo * l.photo_scale, l.frame.along, l.photo_scale};
}

void cross(Canvas& canvas, cv::Point2d at, double arm, const Ink& ink, double width) {
  canvas.stroke({at + cv::Point2d(-arm, -arm), at + cv::Point2d(arm, arm)}, false, ink, width);
  canvas.stroke({at + cv::Point2d(-arm, arm), at + cv::Point2d(arm, -arm)}, false, ink, width);
}

void tag_sign(Canvas& canvas, Standing standing, cv::Point2d at, double size) {
  if (standing == Standing::wrong) {
    canvas.fill({at + cv::Point2d(0, -0.52) * size, at + cv::Point2d(0.52, 0) * size,
                 at + cv::Point2d(0, 0.52) * size, at + cv::Point2d(-0.52, 0) * size},
                kOrange);
    cross(canvas, at, 0.17 * size, kDark, 0.13 * size);
    return;
  }
  canvas.disc(at, 0.42 * size, kDark);
  const char* letter = standing == Standing::unsure ? "?" : standing == Standing::note ? "!" : "–";
  canvas.text(letter, at, 0.62 * size, kLight, Align::middle);
}

// From the tag to its slots; a bracket where there are several.
void leader(Canvas& canvas, const Labels& g, const Tag& tag, cv::Point2d from) {
  const LabelLayout& l = g.layout;
  const double b0 = l.left_b[tag.first], b1 = l.left_b[tag.last], mid = (b0 + b1) / 2;
  const double back = g.widths.slot * l.letters, w = line_width(l);
  const double step = 0.45 * l.letters;
  std::vector<std::vector<cv::Point2d>> lines;
  const cv::Point2d to(l.left.a(mid) - back - (tag.first == tag.last ? 0 : step), mid);
  lines.push_back({from, {from.x + 0.5 * l.tag_letters, from.y}, to});
  if (tag.first != tag.last)
    lines.push_back({{l.left.a(b0) - back, b0},
                     {l.left.a(b0) - back - step, b0},
                     {l.left.a(b1) - back - step, b1},
                     {l.left.a(b1) - back, b1}});
  for (const auto& line : lines) canvas.stroke(line, false, kLight, 4.4 * w);
  for (const auto& line : lines) canvas.stroke(line, false, kDark, 2.2 * w);
}

}  // namespace

Ink label_ink(Standing standing) {
  return standing == Standing::wrong ? kLight : kDark;
}

void draw_label_box(Canvas& canvas, const cv::Rect2d& box, Standing standing, double letters) {
  const double rim = 0.13 * letters, round = 0.2 * letters;
  switch (standing) {
    case Standing::good:
    case Standing::note:
      canvas.fill(box, {1, 1, 1, 0.92}, round);
      canvas.stroke(box, {0.07, 0.08, 0.09, 0.6}, 0.05 * letters, 0, round);
      return;
    case Standing::unseen:
      canvas.fill(box, {0.80, 0.80, 0.80, 0.95}, round);
      canvas.stroke(box, kDark, 0.07 * letters, 0.25 * letters, round);
      return;
    case Standing::unsure:
      canvas.fill(box, kYellow, round);
      canvas.stroke(box, kDark, 0.11 * letters, 0.34 * letters, round);
      return;
    case Standing::wrong:
      canvas.fill(box, kOrange);
      canvas.fill(cv::Rect2d(box.x + rim, box.y + rim, box.width - 2 * rim, box.height - 2 * rim),
                  kDark);
      return;
  }
}

void draw_outlines(Canvas& canvas, const Labels& g) {
  canvas.place(in_photo(g.layout));
  const double w = line_width(g.layout);
  for (Standing now : {Standing::good, Standing::note, Standing::unseen, Standing::unsure,
                       Standing::wrong})  // the worst on top of its neighbours
    for (const SlotView& view : g.views)
      if (view.standing == now) outline(canvas, view.face_in_photo, now, w);
  if (g.layout.letters * g.layout.photo_scale < 14) return;  // frames would crowd the figures
  for (const SlotView& view : g.views)
    if (view.standing >= Standing::unsure) number_frame(canvas, view, w);
}

void draw_slot_numbers(Canvas& canvas, const Labels& g) {
  const LabelLayout& l = g.layout;
  canvas.place(in_text(l));
  const double high = kBoxOfLetters * l.letters, wide = g.widths.slot * l.letters;
  for (Standing now :
       {Standing::good, Standing::note, Standing::unseen, Standing::unsure, Standing::wrong})
    for (std::size_t i = 0; i < g.views.size(); ++i) {
      const SlotView& view = g.views[i];
      const bool numbered = view.slot == 1 || i + 1 == g.views.size() ||
                            static_cast<std::size_t>(view.slot) % l.every == 0;
      if (view.standing != now || (now <= Standing::note && !numbered)) continue;
      const double b = l.left_b[i], a = l.left.a(b) - wide;
      draw_label_box(canvas, {a, b - high / 2, wide, high}, now, l.letters);
      canvas.text(std::to_string(view.slot), {a + wide / 2, b}, l.letters, label_ink(now),
                  Align::middle);
    }
}

void draw_headings(Canvas& canvas, const Labels& g) {
  const LabelLayout& l = g.layout;
  canvas.place(in_text(l));
  const double size = 0.72 * l.letters, up = 1.2 * l.letters;
  const auto heading = [&](const std::string& text, double a, double b, Align align) {
    const double wide = canvas.text_width(text, size) + 0.5 * size;
    const double from = align == Align::right ? a - wide : a;
    canvas.fill(cv::Rect2d(from, b - 0.6 * size, wide, 1.2 * size), {1, 1, 1, 0.8}, 0.2 * size);
    canvas.text(text, {from + wide / 2, b}, size, kDark, Align::middle, false);
  };
  const double left = *std::min_element(l.left_b.begin(), l.left_b.end()) - up;
  const double right = *std::min_element(l.right_b.begin(), l.right_b.end()) - up;
  const bool counted = !g.views.front().marks;
  heading(counted ? "count" : "slot", l.left.a(left), left, Align::right);
  if (!counted && g.columns.whole() > 0) heading("seen", l.right.a(right), right, Align::left);
}

void draw_tags(Canvas& canvas, const Labels& g) {
  const LabelLayout& l = g.layout;
  canvas.place(in_text(l));
  const double size = l.tag_letters, high = kBoxOfLetters * size;
  const double edge = (g.widths.tag > 0 ? 1.8 : 0) * size + g.widths.slot * l.letters;
  for (const Tag& tag : l.tags) leader(canvas, g, tag, {l.left.a(tag.b) - edge, tag.b});
  for (const Tag& tag : l.tags) {
    const std::string text = canvas.shortened(tag.text, size, (g.widths.tag - 1.9) * size);
    const double wide = canvas.text_width(text, size) + 1.9 * size;
    const double a = l.left.a(tag.b) - edge - wide;
    draw_label_box(canvas, {a, tag.b - high / 2, wide, high}, tag.standing, size);
    tag_sign(canvas, tag.standing, {a + 0.75 * size, tag.b}, size);
    canvas.text(text, {a + 1.4 * size, tag.b}, size, label_ink(tag.standing));
    if (tag.standing == Standing::wrong)
      canvas.stripes({a - 0.55 * size, tag.b - high / 2, 0.55 * size, high}, kDark, kOrange,
                     0.22 * size);
  }
}

}  // namespace plumbstack
