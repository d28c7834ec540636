// A stack of equal strips without a fault, in millimetres.
#pragma once

#include "plumbstack/stack.hpp"

namespace plumbstack {

inline constexpr double kStrip = 200, kPitch = 20;

inline StackFrame frame_of(std::size_t strips) {
  StackFrame frame;
  for (std::size_t i = 0; i < strips; ++i) {
    StripPlace place;
    place.top_mm = kPitch * double(i), place.bottom_mm = place.top_mm + kPitch;
    place.right_mm = kStrip;
    frame.strips.push_back(place);
  }
  return frame;
}

}  // namespace plumbstack
