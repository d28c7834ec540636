// Two reasons why blocks can't all be equal, where every module is used (with spares, none is known
// here and the bound is 0).
//
// Steps: let g be the greatest common divisor of the differences between capacities. All blocks'
// sums differ by multiples of g. They are all equal only if the total of the modules' steps above
// the weakest divides by the number of blocks; else the spread is at least g.
//
// Crowding: of the (j-1)k + 1 strongest modules j at least are in one of the k blocks. So some
// block weighs at least A = the weakest j of those + the weakest (m-j) of all. The other k-1 blocks
// share the rest of the total T, so one of them has at most (T-A)/(k-1), rounded down since sums
// are whole, and the spread is at least A less that; a heavier block only makes it larger. Likewise
// from the weak end.
#include <algorithm>
#include <numeric>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

std::int64_t sum_of(const std::vector<std::int64_t>& values, std::size_t from, std::size_t many) {
  const auto first = values.begin() + static_cast<std::ptrdiff_t>(from);
  return std::accumulate(first, first + static_cast<std::ptrdiff_t>(many), std::int64_t{0});
}

std::int64_t step_bound(const std::vector<std::int64_t>& sorted, std::int64_t blocks) {
  std::int64_t step = 0;
  for (const std::int64_t value : sorted) step = std::gcd(step, value - sorted.front());
  if (step == 0) return 0;
  std::int64_t steps = 0;
  for (const std::int64_t value : sorted) steps += (value - sorted.front()) / step;
  return steps % blocks == 0 ? 0 : step;
}

std::int64_t floor_of(std::int64_t value, std::int64_t by) {
  return value >= 0 ? value / by : -((-value + by - 1) / by);
}

// `sorted` from the end of the crowd; from the weak end the values come negated.
std::int64_t crowding_bound(const std::vector<std::int64_t>& sorted, std::size_t blocks,
                            std::size_t per_block) {
  const std::int64_t total = sum_of(sorted, 0, sorted.size());
  std::int64_t bound = 0;
  for (std::size_t j = 1; j <= per_block; ++j) {
    const std::size_t crowd = (j - 1) * blocks + 1;
    const std::int64_t heavy = sum_of(sorted, crowd - j, j) +
                               sum_of(sorted, sorted.size() - (per_block - j), per_block - j);
    bound = std::max(bound, heavy - floor_of(total - heavy, static_cast<std::int64_t>(blocks) - 1));
  }
  return bound;
}

}  // namespace

std::int64_t capacity_spread_bound(const BlockTask& task) {
  const auto blocks = static_cast<std::size_t>(task.blocks);
  const auto per_block = static_cast<std::size_t>(task.per_block);
  if (blocks < 2 || task.modules.size() != blocks * per_block) return 0;
  std::vector<std::int64_t> values;
  for (const Load& module : task.modules) values.push_back(module.capacity);
  std::sort(values.begin(), values.end());
  const std::int64_t steps = step_bound(values, static_cast<std::int64_t>(blocks));
  std::vector<std::int64_t> strongest_first(values.rbegin(), values.rend());
  for (std::int64_t& value : values) value = -value;
  return std::max({steps, crowding_bound(strongest_first, blocks, per_block),
                   crowding_bound(values, blocks, per_block)});
}

}  // namespace plumbstack
