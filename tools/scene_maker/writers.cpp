// Who writes: the styles of people and machines, drawn at random.
#include <algorithm>
#include <cmath>

#include "lettering.hpp"

namespace scene {
namespace {

Pen any_pen(Dice& dice) {
  Pen pen;
  pen.width = dice.chance(0.65) ? dice.uniform(0.06, 0.15) : dice.uniform(0.04, 0.23);
  pen.chisel = dice.chance(0.22);
  if (pen.chisel) pen.width *= 1.25;
  pen.nib_angle = dice.uniform(-1.2, 0.3);
  pen.uneven = dice.uniform(0, 0.3);
  pen.blob = dice.chance(0.3) ? dice.uniform(0.2, 0.9) : 0;
  pen.dryness = dice.chance(0.25) ? dice.uniform(0.2, 1) : 0;
  return pen;
}

HandShape any_shape(Dice& dice) {
  HandShape shape;
  // Tangent of -25..35 degrees, mostly leaning right.
  shape.slant = std::clamp(0.12 + dice.normal(0.18), -0.47, 0.7);
  shape.width = dice.uniform(0.7, 1.3);
  shape.shake = dice.uniform(0.004, 0.03);
  shape.bow = dice.normal(0.025);
  shape.bulge = dice.normal(0.12);
  return shape;
}

// Paint on plastic: mostly clean, now and then ragged, worn or bleeding.
Ink any_ink(Dice& dice) {
  Ink ink;
  ink.soft = dice.chance(0.3) ? dice.uniform(0.005, 0.03) : 0;
  ink.rough = dice.chance(0.25) ? dice.uniform(0.1, 0.6) : 0;
  ink.patchy = dice.chance(0.25) ? dice.uniform(0.1, 0.9) : 0;
  return ink;
}

}  // namespace

std::size_t LetteringShop::any_font(Dice& dice) const {
  const bool held_out = part_ == BankPart::held_out;
  std::size_t font = 0;
  for (int tries = 0; tries < 100; ++tries) {
    font = dice.pick(dice.pick(fonts_.families()));
    if (!fonts_.by_hand(font) || fonts_.held_out(font) == held_out) break;
  }
  return font;
}

Writer LetteringShop::printed(Dice& dice) const {
  Writer w;
  w.hand = Hand::font;
  w.font = any_font(dice);
  w.outline.slant = dice.chance(0.2) ? dice.normal(0.12) : 0;
  w.outline.width = dice.chance(0.3) ? dice.uniform(0.75, 1.3) : 1;
  w.outline.weight = dice.chance(0.35) ? dice.uniform(0, 0.06) : 0;
  w.spacing = dice.uniform(-0.03, 0.1);
  w.uneven = 0;
  w.wander = 0;
  return w;
}

// A person writes a digit much the same each time. Whose hand a real digit is by is not known: one
// that suits this writer's lean and line, and those that look most like it, stand for the person's.
std::vector<int> LetteringShop::habit_of(int digit, const Writer& w, double steady,
                                         Dice& dice) const {
  const double bold = std::clamp((w.pen.width - 0.05) * 3.5, 0.08, 0.5);
  int own = 0;
  double apart = 1e9;
  for (int tries = 0; tries < 8; ++tries) {
    const int which = dice.whole(0, bank_.count(part_) - 1);
    const double off = std::abs(bank_.slant(part_, digit, which) - w.shape.slant) +
                       2 * std::abs(bank_.boldness(part_, digit, which) - bold);
    if (off < apart) own = which, apart = off;
  }
  // From the few most alike to a twentieth of the bank.
  const int all = bank_.count(part_);
  return bank_.like(part_, digit, own, std::max(3, cvRound(all * 0.05 * std::pow(0.01, steady))));
}

Writer LetteringShop::by_marker(Dice& dice) const {
  Writer w;
  const double kind = dice.uniform(0, 1);
  constexpr double kNoFont = 0.65;
  w.hand = kind < kNoFont - real_hands_ ? Hand::strokes
           : kind < kNoFont             ? Hand::real_digits
                                        : Hand::font;
  w.font = any_font(dice);
  for (int tries = 0; tries < 100 && !fonts_.by_hand(w.font); ++tries) w.font = any_font(dice);
  for (int& v : w.variant) v = dice.whole(0, 839);
  w.seed = static_cast<std::uint64_t>(dice.whole(1, 1 << 30));
  w.shape = any_shape(dice);
  w.outline.slant = w.shape.slant * 0.5;
  w.outline.weight = dice.uniform(-0.005, 0.05);
  w.pen = any_pen(dice);
  w.ink = any_ink(dice);
  if (w.hand == Hand::real_digits) {
    const double steady = dice.uniform(0, 1);
    for (int digit = 0; digit < 10; ++digit)
      w.habit[static_cast<std::size_t>(digit)] = habit_of(digit, w, steady, dice);
  }
  w.own = dice.uniform(0.01, 0.05);
  w.spacing = dice.chance(0.3) ? dice.uniform(-0.1, 0.05) : dice.uniform(0.05, 0.4);
  w.uneven = dice.uniform(0.1, 0.5);
  w.wander = dice.uniform(0, 0.05);
  w.climb = dice.normal(0.04);
  w.doubled = dice.chance(0.08) ? dice.uniform(0.2, 1) : 0;
  return w;
}

Writer LetteringShop::by_stencil(Dice& dice) const {
  Writer w = printed(dice);
  w.hand = Hand::stencil;
  w.outline.weight = dice.uniform(0.02, 0.1);  // stencils are bold
  w.outline.width = dice.uniform(0.85, 1.25);
  w.spacing = dice.uniform(0, 0.2);
  w.bridge = dice.chance(0.75) ? dice.uniform(0.035, 0.08) : 0;
  w.upright_bridge = dice.chance(0.75);
  w.ink.soft = dice.uniform(0, 0.03);
  w.ink.rough = dice.chance(0.5) ? dice.uniform(0.2, 0.9) : 0;
  w.ink.patchy = dice.chance(0.4) ? dice.uniform(0.1, 0.8) : 0;
  w.ink.overspray = dice.chance(0.6) ? dice.uniform(0.1, 0.8) : 0;
  return w;
}

Writer LetteringShop::by_stamp(Dice& dice) const {
  Writer w = printed(dice);
  w.hand = Hand::stamp;
  w.wander = dice.chance(0.4) ? dice.uniform(0, 0.04) : 0;  // a band of single digits
  w.ink.rim = dice.chance(0.6) ? dice.uniform(0.2, 1) : 0;
  w.ink.fade = dice.chance(0.6) ? dice.uniform(0.2, 0.9) : 0;
  w.ink.patchy = dice.uniform(0.1, 0.9);
  w.ink.rough = dice.chance(0.5) ? dice.uniform(0.05, 0.4) : 0;
  w.ink.echo = dice.chance(0.25) ? dice.uniform(0.03, 0.1) : 0;
  w.ink.soft = dice.uniform(0, 0.02);
  return w;
}

Writer LetteringShop::writer(LetteringKind kind, Dice& dice) const {
  switch (kind) {
    case LetteringKind::handwritten: return by_marker(dice);
    case LetteringKind::stencilled: return by_stencil(dice);
    case LetteringKind::stamped: return by_stamp(dice);
    case LetteringKind::small_print: {
      Writer w = printed(dice);
      w.outline.weight = 0;
      return w;
    }
    case LetteringKind::printed: {
      Writer w = printed(dice);
      w.ink = any_ink(dice);
      return w;
    }
    case LetteringKind::any: break;
  }
  const double one = dice.uniform(0, 1);
  return writer(one < 0.76   ? LetteringKind::handwritten
                : one < 0.88 ? LetteringKind::printed
                : one < 0.95 ? LetteringKind::stencilled
                             : LetteringKind::stamped,
                dice);
}

Writer LetteringShop::any_writer(Dice& dice) const {
  return writer(LetteringKind::any, dice);
}

}  // namespace scene
