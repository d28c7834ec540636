// Longest strictly increasing subsequence by patience sorting, O(n log n): piles' tops are kept
// sorted, each value remembers the top of the pile before its own (Fredman 1975).
#include <algorithm>

#include "plumbstack/judge.hpp"

namespace plumbstack {

std::vector<std::size_t> longest_increasing_subsequence(const std::vector<int>& values) {
  constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  std::vector<std::size_t> tops, before(values.size(), kNone);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const auto pile =
        std::lower_bound(tops.begin(), tops.end(), i,
                         [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
    if (pile != tops.begin()) before[i] = *(pile - 1);
    if (pile == tops.end())
      tops.push_back(i);
    else
      *pile = i;
  }
  std::vector<std::size_t> kept;
  for (std::size_t i = tops.empty() ? kNone : tops.back(); i != kNone; i = before[i])
    kept.push_back(i);
  std::reverse(kept.begin(), kept.end());
  return kept;
}

}  // namespace plumbstack
