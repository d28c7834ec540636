#pragma once

#include "parts.hpp"
#include "plumbstack/drawing.hpp"

namespace plumbstack {

/// The row with slot 1 at the top, in as many pictures as it takes pages: modules with the signs of
/// their terminals as stacked, bus bars, taps with their voltages, blocks, and where 60 V DC is
/// passed.
std::vector<Drawing> row_drawings(const Pack& pack, const ElectricalInput& input,
                                  const Preview& preview);

}  // namespace plumbstack
