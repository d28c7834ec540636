#include "face_marks.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

void draw_sign_shape(Relief& tile, cv::Point2d at, double size, double bar, char sign, bool raised,
                     const cv::Scalar& ink, double rise) {
  const cv::Rect2d across(at.x - size / 2, at.y - bar / 2, size, bar);
  const cv::Rect2d upright(at.x - bar / 2, at.y - size / 2, bar, size);
  const auto lay = [&](const cv::Rect2d& box) {
    if (raised)
      tile.raise_box(box, rise, bar * 0.2);
    else
      tile.fill_box(box, ink, bar * 0.2);
  };
  if (sign == '+') lay(upright);
  lay(across);
}

void draw_sign(const Look& look, const StackStyle& style, Relief& tile, cv::Point2d at, char sign) {
  const bool raised = look.sign == SignStyle::moulded || look.sign == SignStyle::bare_moulded;
  const bool circle = look.sign == SignStyle::moulded || look.sign == SignStyle::printed;
  const double size = look.sign_size * (circle ? 0.62 : 0.85);
  const double rise = style.sign_rise * look.relief;
  if (circle && raised) tile.raise_ring(at, look.sign_size / 2, style.ring_width, rise);
  if (circle && !raised) tile.fill_ring(at, look.sign_size / 2, style.ring_width, look.sign_ink);
  if (sign == '-' && style.minus_turned) {
    const cv::Rect2d box(at.x - style.sign_bar / 2, at.y - size / 2, style.sign_bar, size);
    if (raised)
      tile.raise_box(box, rise, style.sign_bar * 0.2);
    else
      tile.fill_box(box, look.sign_ink, style.sign_bar * 0.2);
  } else {
    draw_sign_shape(tile, at, size, style.sign_bar, sign, raised, look.sign_ink, rise);
  }
}

cv::Scalar mark_color(const SidePlan& plan, char sign, Dice& dice) {
  if (sign == '+') return dice.near_color({35, 30, 205}, 8);
  return plan.minus_color == "blue" ? dice.near_color({190, 70, 25}, 8)
                                    : dice.near_color({25, 25, 25}, 4);
}

void draw_terminal(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
                   Relief& tile, const MarkAt& mark) {
  const cv::Point2d at(mark.x, mark.y);
  const char sign = mark.kind == 'P' ? '+' : '-';
  const bool coloured = plan.red_plus && (sign == '+' || plan.coloured_minus);
  const double reach = std::min(style.pad_size, plan.thickness * 0.9);
  const cv::Scalar pad =
      coloured ? mark_color(plan, sign, dice) : shaded(look.plastic, style.pads ? 0.7 : 0.85);
  if (style.pads) {
    tile.fill_box({at.x - reach / 2, at.y - reach / 2, reach, reach}, pad, 1);
    tile.raise_box({at.x - reach / 2, at.y - reach / 2, reach, reach}, 0.6, 1);
  } else if (coloured) {
    tile.fill_ring(at, reach / 2, reach * 0.2, pad);
  } else {
    tile.raise_disc(at, reach / 2, 1.0);
  }
  tile.fill_disc(at, 3.6, cv::Scalar(70, 80, 90));
}

// A dab of paint: round at best.
void draw_dab(Dice& dice, Relief& tile, cv::Point2d at, double radius, const cv::Scalar& bgr) {
  if (dice.chance(0.4)) return tile.fill_disc(at, radius, bgr);
  constexpr int kCorners = 24;
  const double stretch = dice.uniform(0.6, 1.6), turn = dice.uniform(0, CV_PI),
               ragged = dice.uniform(0.05, 0.35);
  std::vector<cv::Point2d> outline;
  double r = radius;
  for (int i = 0; i < kCorners; ++i) {
    const double a = 2 * CV_PI * i / kCorners;
    r += 0.5 * (radius - r) + dice.normal(ragged * radius * 0.6);
    const cv::Point2d p(std::cos(a) * r * stretch, std::sin(a) * r / stretch);
    outline.push_back(at + cv::Point2d(p.x * std::cos(turn) - p.y * std::sin(turn),
                                       p.x * std::sin(turn) + p.y * std::cos(turn)));
  }
  tile.fill_shape(outline, bgr);
}

void draw_plate(Dice& dice, const Look& look, Relief& tile, cv::Point2d at) {
  const cv::Size2d size = look.pad;
  tile.fill_box({at.x - size.width / 2, at.y - size.height / 2, size.width, size.height},
                dice.near_color({190, 190, 190}, 12), 1);
}

void draw_face_sign(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
                    Relief& tile, const MarkAt& mark) {
  if (mark.under_stud) return;
  draw_sign(look, style, tile, {mark.x, mark.y}, mark.kind);
  if (plan.kind != "terminal" && plan.red_plus && mark.kind == '+' && !plan.face_studs)
    draw_dab(dice, tile, {mark.x + dice.normal(1.2), mark.y + dice.normal(1.2)},
             dice.uniform(0.9, 3.6), mark_color(plan, '+', dice));
}

// Slots that some mouldings have beside the vent, `side` = -1 or 1 along the strip.
void draw_louvres(const SidePlan& plan, const Look& look, Relief& tile, cv::Point2d vent, int count,
                  double side) {
  constexpr double kPitch = 2.4, kSlot = 1.1, kLength = 8;  // mm
  const double tall = plan.thickness * 0.5, near = vent.x + side * (look.vent_radius + 2);
  for (int i = 0; i < count; ++i) {
    const double x = near + side * i * kPitch, y = vent.y + (i - (count - 1) / 2.0) * kPitch;
    const double left = std::min(near, near + side * kLength);
    const cv::Rect2d slot = look.louvres_upright
                                ? cv::Rect2d(x - kSlot / 2, vent.y - tall / 2, kSlot, tall)
                                : cv::Rect2d(left, y - kSlot / 2, kLength, kSlot);
    tile.raise_box(slot, -0.8 * look.relief, 0.4);
    tile.fill_box(slot, shaded(look.plastic, 0.55), 0.4);
  }
}

// An opening with a collar, in a bracket or on the bare face.
void draw_port(const Look& look, Relief& tile, cv::Point2d at) {
  const Port& p = *look.port;
  if (p.bracket) {
    const double size = p.collar * 2.6;
    tile.raise_box({at.x - size / 2, at.y - size / 2, size, size}, 0.8 * look.relief, 0.8);
    tile.raise_box({at.x + size / 2, at.y - size * 0.4, 1.2, size * 0.8}, 2 * look.relief, 0.3);
  }
  tile.raise_ring(at, p.collar, p.collar - p.radius, 1.4 * look.relief);
  tile.fill_disc(at, p.radius, cv::Scalar(20, 20, 22));
}

void draw_vent(Dice& dice, const SidePlan& plan, const Look& look, Relief& tile, cv::Point2d at) {
  const double r = look.vent_radius, outward = at.x < plan.strip / 2 ? -1 : 1;
  draw_louvres(plan, look, tile, at, look.louvres_outward, outward);
  draw_louvres(plan, look, tile, at, look.louvres_inward, -outward);
  if (look.port) draw_port(look, tile, {at.x - outward * look.port->inward, plan.thickness / 2});
  switch (look.vent) {
    case VentStyle::tube:
      tile.raise_disc(at, r, 1.2);
      tile.raise_disc(at, r * 0.72, 1.8);
      break;
    case VentStyle::elbow: tile.raise_disc(at, r, 1.0); break;
    case VentStyle::ring:
      tile.fill_disc(at, r * 0.85, look.vent_color);
      tile.raise_disc(at, r * 0.85, 1);
      tile.fill_disc(at, r * 0.35, dice.near_color({40, 40, 40}, 10));
      break;
    case VentStyle::grille: {
      const double w = std::min(16.0, plan.strip * 0.08), h = std::min(plan.thickness * 0.5, 9.0);
      tile.raise_box({at.x - w / 2, at.y - h / 2, w, h}, 0.8, 0.5);
      for (int i = 0; i < 4; ++i)
        tile.fill_box({at.x - w / 2 + w * (i + 0.7) / 5, at.y - h * 0.35, w * 0.08, h * 0.7},
                      cv::Scalar(15, 15, 15));
      break;
    }
    case VentStyle::plate:
      tile.fill_box({at.x - r * 1.1, at.y - r * 0.75, 2.2 * r, 1.5 * r}, look.vent_color, r * 0.7);
      tile.raise_box({at.x - r * 1.1, at.y - r * 0.75, 2.2 * r, 1.5 * r}, 0.9, r * 0.7);
      tile.raise_disc(at, r * 0.4, 0.2);
      tile.fill_disc(at, r * 0.22, cv::Scalar(20, 20, 20));
      break;
  }
}

}  // namespace

StackStyle choose_style(Dice& dice, const SidePlan& plan) {
  StackStyle s{};
  s.sign_bar = dice.uniform(0.8, 1.9);
  const bool faint = dice.chance(0.3);
  s.sign_rise = dice.pick({-1.0, 1.0}) * (faint ? dice.uniform(0.1, 0.4) : dice.uniform(0.35, 1.1));
  s.minus_turned = dice.chance(0.35);
  s.ring_width = dice.uniform(0.6, 1.2);
  s.pads = plan.kind == "terminal" && dice.chance(0.6);
  s.pad_size = plan.thickness * dice.uniform(0.5, 0.85);
  return s;
}

void draw_mark(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
               Relief& tile, const MarkAt& mark) {
  if (mark.kind == 'v')
    draw_vent(dice, plan, look, tile, {mark.x, mark.y});
  else if (mark.kind == 'P' || mark.kind == 'M')
    draw_terminal(dice, plan, look, style, tile, mark);
  else if (mark.kind == 'p' || mark.kind == 'm')
    draw_plate(dice, look, tile, {mark.x, mark.y});
  else
    draw_face_sign(dice, plan, look, style, tile, mark);
}

}  // namespace scene
