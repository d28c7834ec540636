// Blocks of three and more, too many to try all: number partitioning by local search.
//
// From a start by lot the blocks are made even two at a time: of all exchanges of one module for
// one and of two for two between them, the one that brings their sums nearest to each other is
// made, until none helps (for blocks of up to five that is the best division of the two). The
// spares are one more group, whose modules a block may take to come nearer to the mean of the
// others. Then three modules chosen by lot change places and it goes on from there; after many
// kicks in vain from a new start. What it finds for the capacity is then evened in resistance by
// exchanges that leave the spread of capacity as it is.
//
// Tried as well: differencing (Karmarkar and Karp) balanced to equal counts gives one arrangement,
// worse than the first hundred local optima here.
#include <algorithm>
#include <cstdlib>
#include <limits>
#include <numeric>
#include <random>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

constexpr std::int64_t kMostExchanges = 150'000'000;  // weighed: about half a second
constexpr std::int64_t kForResistance = 30'000'000;   // of them, once capacity can't be improved
constexpr int kKicksInVain = 300;
constexpr int kMostSweeps = 50;
constexpr std::size_t kLargestForTwo = 12;  // groups above it exchange one for one only

struct Exchange {
  int count = 0;           // modules from each side; 0 = none helps
  std::size_t a[2], b[2];  // places in the two groups
};

class Search {
 public:
  Search(const BlockTask& task, std::int64_t bound) : task_(task), bound_(bound) {
    while (weighed_ < limit()) climb_from_a_new_start();
  }
  const Members& best() const { return best_; }

 private:
  using Figure = std::int64_t Load::*;

  std::int64_t limit() const {
    if (best_.empty() || best_spread_.capacity > bound_) return kMostExchanges;
    if (best_spread_.resistance == 0) return 0;
    return std::min(kMostExchanges, reached_at_ + kForResistance);
  }

  std::int64_t value(int module, Figure figure) const {
    return task_.modules[static_cast<std::size_t>(module)].*figure;
  }
  std::int64_t sum(std::size_t group, Figure figure) const { return sums_[group].*figure; }
  std::size_t blocks() const { return static_cast<std::size_t>(task_.blocks); }

  void new_start() {
    std::vector<int> order(task_.modules.size());
    std::iota(order.begin(), order.end(), 0);
    std::shuffle(order.begin(), order.end(), lot_);
    groups_.assign(blocks() + 1, {});
    for (std::size_t i = 0; i < order.size(); ++i)
      groups_[std::min(i / static_cast<std::size_t>(task_.per_block), blocks())].push_back(
          order[i]);
    if (groups_.back().empty()) groups_.pop_back();
    sum_up();
  }

  void sum_up() {
    sums_.assign(groups_.size(), {});
    for (std::size_t g = 0; g < groups_.size(); ++g)
      for (const int i : groups_[g]) {
        sums_[g].capacity += value(i, &Load::capacity);
        sums_[g].resistance += value(i, &Load::resistance);
      }
  }

  Members members() const { return {groups_.begin(), groups_.begin() + task_.blocks}; }

  void climb_from_a_new_start() {
    new_start();
    even_out(&Load::capacity);
    Members kept = groups_;
    std::int64_t kept_spread = spread_of(task_.modules, members()).capacity;
    even_resistance_if_worth_it(kept_spread);
    for (int in_vain = 0; in_vain < kKicksInVain && weighed_ < limit(); ++in_vain) {
      groups_ = kept;
      kick();
      even_out(&Load::capacity);
      const std::int64_t spread = spread_of(task_.modules, members()).capacity;
      if (spread > kept_spread) continue;
      if (spread < kept_spread) in_vain = 0;
      kept = groups_;
      kept_spread = spread;
      even_resistance_if_worth_it(kept_spread);
    }
  }

  void even_resistance_if_worth_it(std::int64_t capacity_spread) {
    if (!best_.empty() && capacity_spread > best_spread_.capacity) return;
    allowed_ = capacity_spread;
    even_out(&Load::resistance);
    const Spread evened = spread_of(task_.modules, members());
    if (!best_.empty() && evened >= best_spread_) return;
    if (best_.empty() || evened.capacity < best_spread_.capacity) reached_at_ = weighed_;
    best_ = members();
    best_spread_ = evened;
  }

  // Three modules of three groups (or of two) move on by one.
  void kick() {
    int* module[3];
    for (int*& one : module) {
      auto& group = groups_[lot_() % groups_.size()];
      one = &group[lot_() % group.size()];
    }
    std::swap(*module[0], *module[1]);
    std::swap(*module[1], *module[2]);
    sum_up();
  }

  void even_out(Figure figure) {
    bool helped = true;
    for (int sweep = 0; helped && sweep < kMostSweeps; ++sweep) {
      helped = false;
      for (std::size_t a = 0; a < blocks(); ++a)
        for (std::size_t b = a + 1; b < groups_.size(); ++b) helped |= even_two(a, b, figure);
    }
  }

  // What one module more in block a is worth: half the way to b, or all the way to the mean where b
  // are the spares.
  bool even_two(std::size_t a, std::size_t b, Figure figure) {
    const bool spares = b == blocks();
    std::int64_t target = sum(a, figure) - sum(b, figure);  // twice what should go from a to b
    if (spares) {
      std::int64_t others = 0;
      for (std::size_t g = 0; g < blocks(); ++g) others += g == a ? 0 : sum(g, figure);
      const std::int64_t many = task_.blocks - 1;
      target = many == 0 ? 0 : 2 * (sum(a, figure) - others / many);
    }
    const Exchange best = best_exchange(a, b, target, figure);
    for (int i = 0; i < best.count; ++i) std::swap(groups_[a][best.a[i]], groups_[b][best.b[i]]);
    if (best.count > 0) sum_two(a, b);
    return best.count > 0;
  }

  void sum_two(std::size_t a, std::size_t b) {
    for (const std::size_t g : {a, b}) {
      sums_[g] = {};
      for (const int i : groups_[g]) {
        sums_[g].capacity += value(i, &Load::capacity);
        sums_[g].resistance += value(i, &Load::resistance);
      }
    }
  }

  Exchange best_exchange(std::size_t a, std::size_t b, std::int64_t target, Figure figure) {
    Exchange best;
    std::int64_t least = std::llabs(target);
    const auto& one = groups_[a];
    const auto& two = groups_[b];
    const auto gain = [&](std::size_t i, std::size_t k) {
      return 2 * (value(one[i], figure) - value(two[k], figure));
    };
    const auto weigh = [&](std::int64_t moved, Exchange exchange) {
      const std::int64_t left = std::llabs(target - moved);
      if (left >= least || !keeps_capacity(a, b, exchange, figure)) return;
      least = left;
      best = exchange;
    };
    for (std::size_t i = 0; i < one.size(); ++i)
      for (std::size_t k = 0; k < two.size(); ++k) weigh(gain(i, k), {1, {i, 0}, {k, 0}});
    weighed_ += static_cast<std::int64_t>(one.size() * two.size());
    if (std::max(one.size(), two.size()) > kLargestForTwo) return best;
    for (std::size_t i = 0; i < one.size(); ++i)
      for (std::size_t j = i + 1; j < one.size(); ++j)
        for (std::size_t k = 0; k < two.size(); ++k)
          for (std::size_t l = k + 1; l < two.size(); ++l)
            weigh(gain(i, k) + gain(j, l), {2, {i, j}, {k, l}});
    weighed_ += static_cast<std::int64_t>(one.size() * two.size() * one.size() * two.size() / 4);
    return best;
  }

  // While resistance is evened, the spread of capacity must stay within what was reached.
  bool keeps_capacity(std::size_t a, std::size_t b, const Exchange& exchange, Figure figure) const {
    if (figure == &Load::capacity) return true;
    std::int64_t moved = 0;
    for (int i = 0; i < exchange.count; ++i)
      moved += value(groups_[a][exchange.a[i]], &Load::capacity) -
               value(groups_[b][exchange.b[i]], &Load::capacity);
    std::int64_t low = std::numeric_limits<std::int64_t>::max(), high = 0;
    for (std::size_t g = 0; g < blocks(); ++g) {
      const std::int64_t after =
          sums_[g].capacity + (g == b ? moved : std::int64_t{0}) - (g == a ? moved : 0);
      low = std::min(low, after);
      high = std::max(high, after);
    }
    return high - low <= allowed_;
  }

  const BlockTask& task_;
  const std::int64_t bound_;
  std::mt19937 lot_{1};
  Members groups_;  // the blocks, then the spares if there are any
  std::vector<Load> sums_;
  std::int64_t allowed_ = 0;  // spread of capacity while resistance is evened
  std::int64_t weighed_ = 0, reached_at_ = 0;
  Members best_;
  Spread best_spread_;
};

}  // namespace

Blocks arrange_by_search(const BlockTask& task, std::int64_t bound) {
  Blocks blocks;
  blocks.members = Search(task, bound).best();
  blocks.capacity_bound = bound;
  return blocks;
}

}  // namespace plumbstack
