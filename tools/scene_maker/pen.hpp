// A marker's line: round or flat tip, uneven pressure, blobs, a tip that runs dry.
#pragma once

#include "dice.hpp"
#include "glyph.hpp"
#include "strokes.hpp"

namespace scene {

struct Pen {
  double width = 0.11;      // of the line, of the text's height
  bool chisel = false;      // flat tip
  double nib_angle = -0.6;  // rad, of a flat tip's long edge
  double uneven = 0.15;     // swing of the width along a stroke, 0..1
  double blob = 0;          // chance of a blob at an end of a stroke
  double dryness = 0;       // 0 full .. 1 streaky towards the stroke's end
};

/// How a person bends the skeletons: the same for all they write.
struct HandShape {
  double slant = 0;  // shear, x per y
  double width = 1;  // factor across
  double shake = 0;  // sd of a point from its place, of the height
  double bow = 0;    // sideways bend of uprights, of the height
  double bulge = 0;  // how much the lower half is wider than the upper
};

/// Draws a skeleton `height` px high.
Glyph pen_glyph(const Skeleton& way, double height, const HandShape& shape, const Pen& pen,
                Dice& dice);

}  // namespace scene
