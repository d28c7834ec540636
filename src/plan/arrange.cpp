#include "plumbstack/arrange.hpp"

#include <algorithm>
#include <limits>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

constexpr std::int64_t kTriedAll = 2'000'000;     // arrangements: about half a second at worst
constexpr std::int64_t kTriedBlocks = 3'000'000;  // about as long

Blocks arranged(const BlockTask& task) {
  if (task.per_block == 1) return arrange_singles(task);
  if (task.per_block == 2) return arrange_pairs(task);
  const auto many =
      arrangements_up_to(task.modules.size(), task.blocks, task.per_block, kTriedAll + 1);
  if (many <= kTriedAll) return arrange_exhaustively(task);
  Blocks blocks = arrange_by_search(task, capacity_spread_bound(task));
  // With a good arrangement known, most starts are hopeless early: some twenty modules can be
  // proved.
  blocks.resistance_proved = better_or_prove(task, blocks.members, kTriedBlocks);
  if (blocks.resistance_proved)
    blocks.capacity_bound = spread_of(task.modules, blocks.members).capacity;
  return blocks;
}

}  // namespace

Spread spread_of(const std::vector<Load>& modules, const Members& members) {
  constexpr auto kMost = std::numeric_limits<std::int64_t>::max();
  Load low{kMost, kMost}, high{-kMost, -kMost};
  for (const std::vector<int>& block : members) {
    Load sum;
    for (const int i : block) {
      sum.capacity += modules[static_cast<std::size_t>(i)].capacity;
      sum.resistance += modules[static_cast<std::size_t>(i)].resistance;
    }
    low = {std::min(low.capacity, sum.capacity), std::min(low.resistance, sum.resistance)};
    high = {std::max(high.capacity, sum.capacity), std::max(high.resistance, sum.resistance)};
  }
  if (members.empty()) return {};
  return {high.capacity - low.capacity, high.resistance - low.resistance};
}

Blocks arrange_blocks(const BlockTask& task) {
  Blocks blocks = arranged(task);
  even_inside(task.modules, blocks.members);
  for (std::vector<int>& block : blocks.members) std::sort(block.begin(), block.end());
  blocks.spread = spread_of(task.modules, blocks.members);
  return blocks;
}

}  // namespace plumbstack
