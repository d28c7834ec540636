// Blocks of one module: `blocks` neighbours of the row sorted by capacity; then, of the modules in
// a window as wide as the narrowest, `blocks` neighbours of the row sorted by resistance.
#include <algorithm>
#include <numeric>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

std::vector<int> sorted_by(const std::vector<Load>& modules, std::int64_t Load::*figure,
                           std::vector<int> order) {
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return modules[static_cast<std::size_t>(a)].*figure <
           modules[static_cast<std::size_t>(b)].*figure;
  });
  return order;
}

// Every choice of `many` neighbours in the row; the first of the narrowest from its end.
template <typename Take>
void each_run(const std::vector<int>& row, std::size_t many, const Take& take) {
  for (std::size_t end = row.size(); end >= many; --end) take(end - many, end);
}

}  // namespace

Blocks arrange_singles(const BlockTask& task) {
  const auto& modules = task.modules;
  const auto many = static_cast<std::size_t>(task.blocks);
  const auto at = [&](int i) { return modules[static_cast<std::size_t>(i)]; };
  std::vector<int> all(modules.size());
  std::iota(all.begin(), all.end(), 0);
  const std::vector<int> row = sorted_by(modules, &Load::capacity, all);
  std::int64_t width = at(row.back()).capacity - at(row.front()).capacity;
  each_run(row, many, [&](std::size_t from, std::size_t end) {
    width = std::min(width, at(row[end - 1]).capacity - at(row[from]).capacity);
  });
  std::vector<int> best;
  std::int64_t best_resistance = 0;
  each_run(row, many, [&](std::size_t from, std::size_t end) {
    const std::int64_t low = at(row[from]).capacity;
    if (at(row[end - 1]).capacity - low != width) return;
    std::vector<int> within;
    for (const int i : row)
      if (at(i).capacity >= low && at(i).capacity <= low + width) within.push_back(i);
    within = sorted_by(modules, &Load::resistance, within);
    each_run(within, many, [&](std::size_t first, std::size_t last) {
      const std::int64_t spread = at(within[last - 1]).resistance - at(within[first]).resistance;
      if (!best.empty() && spread >= best_resistance) return;
      best.assign(within.begin() + static_cast<std::ptrdiff_t>(first),
                  within.begin() + static_cast<std::ptrdiff_t>(last));
      best_resistance = spread;
    });
  });
  Blocks blocks;
  for (const int i : best) blocks.members.push_back({i});
  blocks.capacity_bound = width;
  blocks.resistance_proved = true;
  return blocks;
}

}  // namespace plumbstack
