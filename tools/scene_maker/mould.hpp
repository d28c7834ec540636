// The moulded face that all modules of a stack share: panels, ribs, brackets.
#pragma once

#include "face.hpp"

namespace scene {

struct Mould {
  Relief face;   // as it comes out of the tool
  Relief plain;  // without ribs, brackets and screws: what is left where marks and numbers stand
};

Mould draw_mould(Dice& dice, const SidePlan& plan, const Look& look, double px_per_mm);
/// Relief shares its pixels when copied, as cv::Mat does; this doesn't.
Relief copy_of(const Relief& relief);

}  // namespace scene
