// Beside each strip what was read on it, as it lies in the photo: number and an arrow to the
// number's own top, a small strip with vent and sign at their ends, and the offset.
#include <algorithm>
#include <cmath>

#include "picture_parts.hpp"

namespace plumbstack {
namespace {

constexpr double kPad = 0.35;
constexpr double kArrow = 1.0;
constexpr double kNotSeen = 4.4;  // width of these words

Placement in_text(const LabelLayout& l) {
  return {l.photo_at + l.frame.origin_in_photo * l.photo_scale, l.frame.along, l.photo_scale};
}

std::string number_text(const SlotView& view, const TrustBar& bar) {
  const NumberMark& mark = view.marks->number;
  if (!mark.text) return view.standing == Standing::wrong && mark.place_seen ? "none" : "?";
  return *mark.text + (mark.confidence < bar.number ? "?" : "");
}

// An arrow from `at - d` to `at + d`.
void arrow(Canvas& canvas, cv::Point2d at, cv::Point2d d, const Ink& ink, double width) {
  const cv::Point2d side(-d.y, d.x), tip = at + d;
  canvas.stroke({at - d, at + d * 0.4}, false, ink, width);
  canvas.fill({tip, at - d * 0.05 + side * 0.75, at - d * 0.05 - side * 0.75}, ink);
}

// Where the top of the number points, in the text frame.
cv::Point2d up_of(const TextFrame& frame, const Quad& quad) {
  const cv::Point2d up = (quad[0] + quad[1] - quad[2] - quad[3]) / 2;
  const cv::Point2d turned(up.dot(frame.along), frame.along.cross(up));
  const double length = cv::norm(turned);
  return length > 0 ? turned * (1 / length) : cv::Point2d(0, -1);
}

bool flipped(const TextFrame& frame, const Quad& face) {
  return (face[1] + face[2] - face[0] - face[3]).dot(frame.along) < 0;
}

// -1 = drawn at the left, +1 at the right of the small strip, 0 in its middle.
double place_of(std::optional<End> end, bool flip) {
  if (!end) return 0;
  return ((*end == End::left) != flip) ? -1 : 1;
}

void small_strip(Canvas& canvas, const Labels& g, const SlotView& view, cv::Point2d left,
                 const Ink& ink) {
  const double size = g.layout.letters, wide = 3.2 * size, high = 0.84 * size;
  const bool flip = flipped(g.layout.frame, view.face_in_photo);
  const cv::Rect2d box(left.x, left.y - high / 2, wide, high);
  const cv::Point2d middle(left.x + wide / 2, left.y);
  canvas.stroke(box, ink, 0.07 * size);
  const SlotMarks& m = *view.marks;
  if (g.side.vent) {
    const bool known = m.vent.end && m.vent.confidence >= g.bar.vent;
    const double at = place_of(m.vent.end, flip) * 0.17 * wide;
    if (known)
      canvas.disc(middle + cv::Point2d(at, 0), 0.24 * size, ink);
    else
      canvas.text("?", middle + cv::Point2d(at, 0), 0.7 * size, ink, Align::middle);
  }
  if (g.side.sign) {
    const bool known = m.sign.sign && m.sign.confidence >= g.bar.sign;
    const double at = place_of(g.side.sign->end, flip) * 0.36 * wide;
    const char* sign = !known ? "?" : *m.sign.sign == Sign::plus ? "+" : "−";
    canvas.text(sign, middle + cv::Point2d(at, 0), 0.8 * size, ink, Align::middle);
  }
}

void stagger(Canvas& canvas, const Labels& g, const SlotView& view, cv::Point2d left,
             const Ink& ink) {
  const double size = g.layout.letters, mm = *view.marks->stagger_mm;
  const bool flip = flipped(g.layout.frame, view.face_in_photo);
  const double way = (mm > 0) != flip ? 1 : -1;
  arrow(canvas, left + cv::Point2d(0.5 * size, 0), {0.42 * size * way, 0}, ink, 0.14 * size);
  canvas.text(mm_text(mm) + " mm", left + cv::Point2d(1.15 * size, 0), size, ink);
}

bool shows_stagger(const Labels& g, const SlotView& view) {
  return view.marks->seen && g.columns.stagger > 0 && stagger_worth_showing(g.pack, *view.marks);
}

// The offset has room only where there is one to show; "not seen" needs some too.
double box_width(const Labels& g, const SlotView& view) {
  const double bare =
      std::max(g.columns.number + g.columns.strip, view.marks->seen ? 0.0 : kNotSeen);
  return (bare + (shows_stagger(g, view) ? g.columns.stagger : 0) + kPad) * g.layout.letters;
}

void reading(Canvas& canvas, const Labels& g, const SlotView& view, cv::Point2d left) {
  const double size = g.layout.letters;
  const Ink ink = label_ink(view.standing);
  cv::Point2d at = left + cv::Point2d(kPad * size, 0);
  if (!view.marks->seen) return canvas.text("not seen", at, 0.9 * size, ink, Align::left, false);
  if (g.columns.number > 0) {
    const NumberMark& n = view.marks->number;
    const double room = (g.columns.number - kPad - kArrow) * size;
    const std::string text = canvas.shortened(number_text(view, g.bar), size, room);
    canvas.text(text, at, size, ink);
    if (n.text)
      arrow(canvas, at + cv::Point2d(room + 0.45 * size, 0),
            up_of(g.layout.frame, n.quad_in_photo) * (0.4 * size), ink, 0.14 * size);
    at.x += g.columns.number * size;
  }
  if (g.columns.strip > 0) {
    small_strip(canvas, g, view, at, ink);
    at.x += g.columns.strip * size;
  }
  if (shows_stagger(g, view)) stagger(canvas, g, view, at, ink);
}

}  // namespace

ReadingColumns reading_columns(Canvas& canvas, const Pack& pack, const Side& side,
                               const TrustBar& bar, const std::vector<SlotView>& views) {
  ReadingColumns columns;
  if (views.empty() || !views.front().marks) return columns;
  double widest = canvas.text_width("88", 1.0);
  for (const SlotView& v : views) {
    widest = std::max(widest, canvas.text_width(number_text(v, bar), 1.0));
    if (stagger_worth_showing(pack, *v.marks)) columns.stagger = 5.6;
    if (!v.marks->seen) columns.least = kNotSeen;
  }
  if (side.number) columns.number = std::min(widest, 4.0) + 0.15 + kPad + kArrow;
  if (side.vent || side.sign) columns.strip = 3.6;
  return columns;
}

void draw_readings(Canvas& canvas, const Labels& g) {
  const LabelLayout& l = g.layout;
  if (g.columns.whole() <= 0) return;
  canvas.place(in_text(l));
  const double high = 1.25 * l.letters;
  for (Standing now :
       {Standing::good, Standing::note, Standing::unseen, Standing::unsure, Standing::wrong})
    for (std::size_t i = 0; i < g.views.size(); ++i) {
      const SlotView& view = g.views[i];
      if (view.standing != now || (now <= Standing::note && i % l.every != 0)) continue;
      const double b = l.right_b[i], a = l.right.a(b);
      draw_label_box(canvas, {a, b - high / 2, box_width(g, view), high}, now, l.letters);
      reading(canvas, g, view, {a, b});
    }
}

}  // namespace plumbstack
