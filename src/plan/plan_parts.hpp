// The steps of a plan.
#pragma once

#include <cstdint>

#include "plumbstack/arrange.hpp"
#include "plumbstack/plan.hpp"

namespace plumbstack {

/// Ah, V or milliohm in whole millionths, so that equal figures are equal.
std::int64_t millionths(double value);

/// "7.85": up to three decimals, no zeros at the end.
std::string short_number(double value);

struct Sifted {
  std::vector<std::size_t> good;  // places in TestSheet::modules, in the order of the sheet
  std::vector<RefusedModule> refused;
};
Sifted sift(const std::vector<TestedModule>& modules, const PlanRule& limits);

/// Places of the blocks, coolest first: {0, 4, 1, 3, 2} of five where both ends are cool.
std::vector<std::size_t> coolest_first(std::size_t blocks, CoolEnd cool);

/// Full blocks from slot 1 on, each with its modules in the order of the slots.
/// @param members places in `modules`
std::vector<std::vector<std::size_t>> laid_out(const std::vector<std::vector<std::size_t>>& members,
                                               const std::vector<TestedModule>& modules,
                                               CoolEnd cool);

}  // namespace plumbstack
