// Pairs whose sums of capacity lie in a window [low, high].
//
// Which modules can be paired at all within a window is settled from both ends of the sorted row.
// Let a be the weakest module left and z the strongest.
//   a + z < low    a reaches `low` with nobody: it goes
//   a + z > high   z is too much with everybody: it goes
//   else           some largest pairing holds the pair (a, z). If a is paired with y and z with x,
//                  exchange them: x + y >= a + y >= low because x >= a, and x + y <= x + z <= high
//                  because y <= z. If only one of the two is paired, pair it with the other.
// So one pass finds the largest number of pairs. With no window in the way (all modules used) the
// same pass pairs the ends of the sorted row, weakest with strongest. That is the best there is: by
// the exchange above, any pairing can be turned into it step by step, in each of which the two new
// sums a + z and x + y lie between the two old ones, a + y and x + z, so that the smallest sum
// never falls and the largest never grows.
#include <algorithm>
#include <numeric>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

std::vector<int> by_capacity(const std::vector<Load>& modules) {
  std::vector<int> order(modules.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return modules[static_cast<std::size_t>(a)].capacity <
           modules[static_cast<std::size_t>(b)].capacity;
  });
  return order;
}

std::vector<std::int64_t> sorted_capacities(const std::vector<Load>& modules) {
  std::vector<std::int64_t> values;
  for (const Load& module : modules) values.push_back(module.capacity);
  std::sort(values.begin(), values.end());
  return values;
}

// Calls pair(i, k) with places in the sorted row.
template <typename Pair>
void pair_ends(const std::vector<std::int64_t>& sorted, std::int64_t low, std::int64_t high,
               const Pair& pair) {
  for (std::size_t a = 0, z = sorted.size(); a + 1 < z;) {
    const std::int64_t sum = sorted[a] + sorted[z - 1];
    if (sum < low)
      ++a;
    else if (sum > high)
      --z;
    else
      pair(a++, --z);
  }
}

bool fits(const std::vector<std::int64_t>& sorted, int blocks, std::int64_t low,
          std::int64_t high) {
  int pairs = 0;
  pair_ends(sorted, low, high, [&](std::size_t, std::size_t) { ++pairs; });
  return pairs >= blocks;
}

std::vector<std::int64_t> different_sums(const std::vector<std::int64_t>& sorted) {
  std::vector<std::int64_t> sums;
  for (std::size_t i = 0; i < sorted.size(); ++i)
    for (std::size_t k = 0; k < i; ++k) sums.push_back(sorted[i] + sorted[k]);
  std::sort(sums.begin(), sums.end());
  sums.erase(std::unique(sums.begin(), sums.end()), sums.end());
  return sums;
}

}  // namespace

Members pairs_within(const std::vector<Load>& modules, std::int64_t low, std::int64_t high) {
  const std::vector<int> order = by_capacity(modules);
  Members pairs;
  pair_ends(sorted_capacities(modules), low, high, [&](std::size_t a, std::size_t z) {
    pairs.push_back({order[a], order[z]});
  });
  return pairs;
}

PairWindows pair_windows(const std::vector<Load>& modules, int blocks) {
  const std::vector<std::int64_t> sorted = sorted_capacities(modules);
  const std::vector<std::int64_t> sums = different_sums(sorted);
  PairWindows best;
  if (modules.size() == 2 * static_cast<std::size_t>(blocks)) {
    std::int64_t low = sums.back(), high = sums.front();
    pair_ends(sorted, sums.front(), sums.back(), [&](std::size_t a, std::size_t z) {
      low = std::min(low, sorted[a] + sorted[z]);
      high = std::max(high, sorted[a] + sorted[z]);
    });
    return {high - low, {low}};
  }
  // Both ends of the window only ever move up: a window that starts higher must not end lower.
  std::size_t top = 0;
  best.width = sums.back() - sums.front();
  for (std::size_t low = 0; low < sums.size(); ++low) {
    while (top < sums.size() && !fits(sorted, blocks, sums[low], sums[top])) ++top;
    if (top == sums.size()) break;
    const std::int64_t width = sums[top] - sums[low];
    if (width < best.width || best.lows.empty()) best = {width, {}};
    if (width == best.width) best.lows.push_back(sums[low]);
  }
  std::reverse(best.lows.begin(), best.lows.end());
  return best;
}

}  // namespace plumbstack
