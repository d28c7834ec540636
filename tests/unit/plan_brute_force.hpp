// Every arrangement by permuting labels: slow, and nothing like the ways of src/plan.
#pragma once

#include <algorithm>
#include <limits>
#include <random>

#include "plumbstack/arrange.hpp"

namespace plumbstack::test {

inline Spread brute_force(const BlockTask& task) {
  const auto blocks = static_cast<std::size_t>(task.blocks);
  std::vector<std::size_t> label;  // of each module; `blocks` = stays out
  for (std::size_t i = 0; i < task.modules.size(); ++i)
    label.push_back(std::min(i / static_cast<std::size_t>(task.per_block), blocks));
  constexpr auto kMost = std::numeric_limits<std::int64_t>::max();
  Spread best{kMost, kMost};
  std::vector<Load> sums(blocks + 1);
  do {
    std::fill(sums.begin(), sums.end(), Load{});
    for (std::size_t i = 0; i < label.size(); ++i) {
      sums[label[i]].capacity += task.modules[i].capacity;
      sums[label[i]].resistance += task.modules[i].resistance;
    }
    Load low = sums[0], high = sums[0];
    for (std::size_t b = 1; b < blocks; ++b) {
      low = {std::min(low.capacity, sums[b].capacity),
             std::min(low.resistance, sums[b].resistance)};
      high = {std::max(high.capacity, sums[b].capacity),
              std::max(high.resistance, sums[b].resistance)};
    }
    best = std::min(best, {high.capacity - low.capacity, high.resistance - low.resistance});
  } while (std::next_permutation(label.begin(), label.end()));
  return best;
}

/// Modules by lot. A coarse step makes many equal sums, a fine one none.
inline std::vector<Load> modules_by_lot(std::size_t count, unsigned seed, int steps) {
  std::mt19937 lot(seed);
  std::vector<Load> modules;
  for (std::size_t i = 0; i < count; ++i)
    modules.push_back({6000 + static_cast<std::int64_t>(lot() % static_cast<unsigned>(steps)),
                       18000 + static_cast<std::int64_t>(lot() % static_cast<unsigned>(steps))});
  return modules;
}

}  // namespace plumbstack::test
