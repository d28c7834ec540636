// Every arrangement, each once: the first module that has no place yet either stays out or opens
// the next block, whose other members come after it. A start whose blocks already spread as much as
// the best arrangement is given up.
#include <algorithm>
#include <limits>
#include <numeric>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

class Enumeration {
 public:
  /// @param known an arrangement to be bettered, if there is one
  /// @param most_blocks filled, after which it is given up
  Enumeration(const BlockTask& task, Members known, std::int64_t most_blocks)
      : task_(task),
        taken_(task.modules.size(), 0),
        order_(task.modules.size()),
        blocks_left_(most_blocks),
        best_(std::move(known)) {
    if (!best_.empty()) best_spread_ = spread_of(task.modules, best_);
    spares_ = static_cast<int>(task.modules.size()) - task.blocks * task.per_block;
    // The strongest first, so that of equally good arrangements one that uses them is found first.
    std::iota(order_.begin(), order_.end(), 0);
    std::stable_sort(order_.begin(), order_.end(),
                     [&](int a, int b) { return load(a).capacity > load(b).capacity; });
    next_module(0);
  }
  const Members& best() const { return best_; }
  bool finished() const { return blocks_left_ > 0; }

 private:
  const Load& load(int i) const { return task_.modules[static_cast<std::size_t>(i)]; }

  bool hopeless() const {
    return !best_.empty() && spread_of(task_.modules, members_) >= best_spread_;
  }

  void next_module(std::size_t from) {
    if (members_.size() == static_cast<std::size_t>(task_.blocks)) {
      best_ = members_;
      best_spread_ = spread_of(task_.modules, members_);
      return;
    }
    while (from < taken_.size() && taken_[from]) ++from;
    if (from == taken_.size()) return;
    open_.assign(1, order_[from]);
    taken_[from] = 1;
    fill_block(from, from + 1);
    if (spares_ > 0) {  // it stays out
      --spares_;
      next_module(from + 1);
      ++spares_;
    }
    taken_[from] = 0;
  }

  // Adds modules from place `next` on to the open block, whose first member stands at `first`.
  void fill_block(std::size_t first, std::size_t next) {
    if (open_.size() == static_cast<std::size_t>(task_.per_block)) {
      if (blocks_left_ <= 0) return;
      --blocks_left_;
      const std::vector<int> block = open_;
      members_.push_back(block);
      if (!hopeless()) next_module(first + 1);
      members_.pop_back();
      open_ = block;
      return;
    }
    for (std::size_t i = next; i < taken_.size() && blocks_left_ > 0; ++i) {
      if (taken_[i]) continue;
      taken_[i] = 1;
      open_.push_back(order_[i]);
      fill_block(first, i + 1);
      open_.pop_back();
      taken_[i] = 0;
    }
  }

  const BlockTask& task_;
  std::vector<char> taken_;  // by place in order_
  std::vector<int> order_;   // modules, strongest first
  int spares_ = 0;           // that may still stay out
  std::vector<int> open_;    // the block being filled
  std::int64_t blocks_left_;
  Members members_, best_;
  Spread best_spread_;
};

}  // namespace

std::int64_t arrangements_up_to(std::size_t modules, int blocks, int per_block,
                                std::int64_t limit) {
  // Ways to choose the members of one block after the other, divided by the orders of the blocks.
  double ways = 1;
  double left = static_cast<double>(modules);
  for (int b = 1; b <= blocks; ++b) {
    for (int i = 0; i < per_block; ++i) ways *= (left - i) / (i + 1);
    ways /= b;
    left -= per_block;
  }
  return ways < static_cast<double>(limit) ? static_cast<std::int64_t>(ways + 0.5) : limit;
}

Blocks arrange_exhaustively(const BlockTask& task) {
  Blocks blocks;
  blocks.members = Enumeration(task, {}, std::numeric_limits<std::int64_t>::max()).best();
  blocks.capacity_bound = spread_of(task.modules, blocks.members).capacity;
  blocks.resistance_proved = true;
  return blocks;
}

bool better_or_prove(const BlockTask& task, Members& members, std::int64_t most_blocks) {
  const Enumeration enumeration(task, members, most_blocks);
  members = enumeration.best();
  return enumeration.finished();
}

}  // namespace plumbstack
