// The ways to arrange, each in its own file.
#pragma once

#include "plumbstack/arrange.hpp"

namespace plumbstack {

using Members = std::vector<std::vector<int>>;

/// Least spread of capacity of `blocks` pairs, and at which smallest sums it is reached (the
/// greatest first).
struct PairWindows {
  std::int64_t width = 0;
  std::vector<std::int64_t> lows;
};
PairWindows pair_windows(const std::vector<Load>& modules, int blocks);

/// Most pairs, all of whose sums of capacity lie from low to high. Exact.
Members pairs_within(const std::vector<Load>& modules, std::int64_t low, std::int64_t high);

Blocks arrange_singles(const BlockTask& task);
Blocks arrange_pairs(const BlockTask& task);

/// Number of arrangements, or `limit` where there are more.
std::int64_t arrangements_up_to(std::size_t modules, int blocks, int per_block, std::int64_t limit);
/// Tries every arrangement.
Blocks arrange_exhaustively(const BlockTask& task);

/// Tries every arrangement that may be better than `members`, which becomes the best of them. False
/// where that was given up after filling `most_blocks` blocks.
bool better_or_prove(const BlockTask& task, Members& members, std::int64_t most_blocks);

/// A spread of capacity that no arrangement can fall below.
std::int64_t capacity_spread_bound(const BlockTask& task);
/// Search by exchanges from many starts; ends early where `bound` is reached.
Blocks arrange_by_search(const BlockTask& task, std::int64_t bound);

/// Brings the blocks between the weakest and the strongest nearer to each other, no spread made
/// worse.
void even_inside(const std::vector<Load>& modules, Members& members);

}  // namespace plumbstack
