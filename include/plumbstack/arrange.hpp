// Modules -> blocks whose sums spread least. Knows nothing of packs, serials or slots.
//
// What "spreads least" minimises, in this order:
//   1. the spread of capacity: the largest block's sum of capacities less the smallest block's
//   2. among all arrangements that reach the least of that: the same of the resistances
// After that the blocks between are brought nearer to each other, as far as a local search gets.
// Where there are more modules than places, which of them stay out is part of the choice.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

namespace plumbstack {

/// Whole numbers, so that equal sums are equal: the unit is the caller's (a millionth of an Ah, of
/// a milliohm). At most 2^40 each.
struct Load {
  std::int64_t capacity = 0;
  std::int64_t resistance = 0;
};

struct BlockTask {
  std::vector<Load> modules;  // at least blocks * per_block of them
  int blocks = 0;             // at least 1
  int per_block = 1;
};

struct Spread {  // largest block sum less smallest, in the units of Load
  std::int64_t capacity = 0;
  std::int64_t resistance = 0;
  auto operator<=>(const Spread&) const = default;
};

struct Blocks {
  std::vector<std::vector<int>> members;  // places in BlockTask::modules, ascending in each block
  Spread spread;
  /// No arrangement whatever has a smaller spread of capacity; equal to spread.capacity where that
  /// is proved to be the least.
  std::int64_t capacity_bound = 0;
  /// True where no arrangement of that spread of capacity has a smaller spread of resistance.
  bool resistance_proved = false;
};

/// Blocks of one and two: capacity exact for any count, resistance exact unless there are so many
/// modules that the search for it runs into its limit. Larger blocks: exact where there are at most
/// two million arrangements (12 modules always), else searched, with a bound, and
/// proved where trying all that may be better comes to an end (some twenty modules). The same task
/// always gives the same blocks.
Blocks arrange_blocks(const BlockTask& task);

/// Spread of blocks as they are.
Spread spread_of(const std::vector<Load>& modules, const std::vector<std::vector<int>>& members);

}  // namespace plumbstack
