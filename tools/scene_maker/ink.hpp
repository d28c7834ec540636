// What ink does to clean letters: stencil bridges, spray, stamps, wear.
#pragma once

#include "dice.hpp"

namespace scene {

struct Ink {
  double soft = 0;       // blur of the edge, of the text's height
  double rough = 0;      // 0 smooth .. 1 ragged edge, as paint on a rough or dusty ground
  double patchy = 0;     // 0 even .. 1 with bare places
  double overspray = 0;  // 0 none .. 1 strong haze and specks around
  double fade = 0;       // 0 even .. 1 one side nearly missing, as of a stamp set down askew
  double rim = 0;        // 0 even .. 1 pale inside with full edges, as of a rubber stamp
  double echo = 0;       // second, paler print beside the first, offset of the height
};

/// Applies it to `mask` (CV_8U, with room of half a height around the letters), `height` px high.
void apply_ink(cv::Mat& mask, double height, const Ink& ink, Dice& dice);

/// Cuts the bridges of a stencil out of one glyph: gaps of `gap` of the height.
void cut_bridges(cv::Mat& glyph, double height, double gap, bool upright);

}  // namespace scene
