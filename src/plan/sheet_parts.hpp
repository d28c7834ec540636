// The parts of the stacking sheet.
#pragma once

#include "plumbstack/document.hpp"
#include "plumbstack/plan.hpp"

namespace plumbstack {

/// "vent left, + right": what shows which way round the module of this slot goes; empty where the
/// side shows neither.
std::string way_round(const Side& side, int slot);

/// The side as it must look with slot 1 at the top, in as many pictures as it takes pages.
std::vector<Drawing> side_drawings(const Pack& pack, const Side& side, const TestSheet& sheet,
                                   const Plan& plan);

/// Sum of capacity of each full block, as listed and as planned.
Drawing capacity_plot(const Plan& plan);

Document stacking_sheet(const Pack& pack, const TestSheet& sheet, const Plan& plan);

}  // namespace plumbstack
