#include <algorithm>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFloor = 0.1;     // peaks lower than this are noise of the planes
constexpr double kEndShare = 0.3;  // a sign belongs to an end within this share of the strip
constexpr double kColorMm2 = 5;    // a dot of 2.5 mm across; less is dirt
constexpr double kColorConfidence = 0.993;

cv::Rect2d strip_box(const StripPlace& s, double from, double to) {
  const double length = s.right_mm - s.left_mm;
  return {s.left_mm + from * length, s.top_mm, (to - from) * length, s.bottom_mm - s.top_mm};
}

// The better of the two shapes in a box, less sure the closer the other comes.
SignSpot by_shape(const FaceMaps& maps, const cv::Rect2d& box, const Calibrations& known) {
  const auto plus = peaks_in(maps, FacePlane::plus, box, kFloor),
             minus = peaks_in(maps, FacePlane::minus, box, kFloor);
  const double p = plus.empty() ? 0 : plus[0].height, m = minus.empty() ? 0 : minus[0].height;
  SignSpot spot;
  if (p == 0 && m == 0) return spot;
  spot.sign = p > m ? Sign::plus : Sign::minus;
  spot.centre_mm = p > m ? plus[0].mm : minus[0].mm;
  const double as_plus = known.plus.look_up(p), as_minus = known.minus.look_up(m);
  spot.confidence = p > m ? as_plus * (1 - as_minus) : as_minus * (1 - as_plus);
  if (std::min(p, m) == 0) spot.confidence = p > m ? as_plus : as_minus;
  return spot;
}

// Colour is positive evidence only. With shape it agrees or makes the sign unsure.
SignSpot with_color(const SignSpot& shape, const SignSpot& color) {
  if (!color.sign) return shape;
  if (!shape.sign || shape.confidence < 0.5) return color;
  SignSpot spot = shape;
  if (*shape.sign == *color.sign)
    spot.confidence = 1 - (1 - shape.confidence) * (1 - color.confidence);
  else
    spot.confidence = std::min(shape.confidence, 1 - color.confidence);
  return spot;
}

SignSpot by_color(const Photo& photo, const StackFrame& frame, const cv::Rect2d& box,
                  const SignRule& rule) {
  SignSpot spot;
  for (const auto& [sign, color] : rule.colors) {
    if (color == MarkColor::black || color == MarkColor::white)
      continue;  // so is shadow, so is glare
    if (colored_mm2(photo, frame.view, box, color) < kColorMm2) continue;
    if (spot.sign) return {};  // both colours in one place tell nothing
    spot.sign = sign;
    spot.centre_mm = (box.tl() + box.br()) / 2;
    spot.confidence = kColorConfidence;
  }
  return spot;
}

}  // namespace

SignsFound find_signs(const Photo& photo, const StackFrame& frame, const FaceMaps& maps,
                      const SignRule& rule, std::size_t strip, const Calibrations& calibrations) {
  const StripPlace& s = frame.strips[strip];
  const auto look = [&](double from, double to) {
    const cv::Rect2d box = strip_box(s, from, to);
    const SignSpot shape = by_shape(maps, box, calibrations);
    if (rule.colors.empty()) return shape;
    const double inset = 0.12 * box.height;  // a neighbour's paint must not reach in
    return with_color(
        shape,
        by_color(photo, frame, {box.x, box.y + inset, box.width, box.height - 2 * inset}, rule));
  };
  if (!rule.end) return {{}, {}, look(0, 1)};
  return {look(0, kEndShare), look(1 - kEndShare, 1), {}};
}

SignMark resolve_sign(const SignsFound& found, const std::optional<End>& named,
                      const PlaneView& view) {
  const auto mark = [&](const SignSpot& spot, bool opposite_end) {
    SignMark m;
    if (!spot.sign) return m;
    m.sign = opposite_end ? other(*spot.sign) : *spot.sign;
    m.confidence = spot.confidence;
    m.from_opposite = opposite_end;
    m.centre_in_photo = view.to_photo(spot.centre_mm);
    return m;
  };
  if (!named) return mark(found.whole, false);
  const SignMark own = mark(*named == End::left ? found.left : found.right, false);
  const SignMark far = mark(*named == End::left ? found.right : found.left, true);
  if (!own.sign) return far;
  if (!far.sign) return own;
  SignMark best = own.confidence >= far.confidence ? own : far;
  const SignMark& rest = own.confidence >= far.confidence ? far : own;
  if (*best.sign == *rest.sign)
    best.confidence = 1 - (1 - best.confidence) * (1 - rest.confidence);
  else
    best.confidence *= 1 - rest.confidence;
  return best;
}

VentMark find_vent(const StackFrame& frame, const FaceMaps& maps, std::size_t strip,
                   const Calibration& calibration) {
  const StripPlace& s = frame.strips[strip];
  const auto left = peaks_in(maps, FacePlane::vent, strip_box(s, 0, 0.47), kFloor);
  const auto right = peaks_in(maps, FacePlane::vent, strip_box(s, 0.53, 1), kFloor);
  const double l = left.empty() ? 0 : left[0].height, r = right.empty() ? 0 : right[0].height;
  VentMark mark;
  if (l == 0 && r == 0) return mark;
  mark.end = l > r ? End::left : End::right;
  mark.confidence = calibration.look_up(std::max(l, r));
  if (std::min(l, r) > 0) mark.confidence *= 1 - calibration.look_up(std::min(l, r));
  mark.centre_in_photo = frame.view.to_photo(l > r ? left[0].mm : right[0].mm);
  return mark;
}

}  // namespace plumbstack
