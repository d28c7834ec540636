// Signs, terminals and vents on one module's face.
#pragma once

#include "face.hpp"

namespace scene {

struct StackStyle {  // choices made once for the stack, so that all modules agree
  double sign_bar, sign_rise, ring_width, pad_size;
  bool pads, minus_turned;
};

StackStyle choose_style(Dice& dice, const SidePlan& plan);
void draw_mark(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
               Relief& tile, const MarkAt& mark);

}  // namespace scene
