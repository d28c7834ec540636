// The spread is set by two blocks only; the others may still lie anywhere between them. Modules of
// two blocks are exchanged one for one where that brings the two sums of capacity nearer to each
// other and neither sum, of capacity or of resistance, leaves the range that was reached. Each
// exchange lowers the sum of squares of the blocks' capacities, so it ends. A local search: nothing
// is promised of its result but that both spreads are no worse.
#include <algorithm>
#include <cstdlib>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

class Evening {
 public:
  Evening(const std::vector<Load>& modules, Members& members)
      : modules_(modules), members_(members), low_(sum(members[0])), high_(low_) {
    for (const auto& block : members) {
      sums_.push_back(sum(block));
      low_ = {std::min(low_.capacity, sums_.back().capacity),
              std::min(low_.resistance, sums_.back().resistance)};
      high_ = {std::max(high_.capacity, sums_.back().capacity),
               std::max(high_.resistance, sums_.back().resistance)};
    }
    while (sweep()) {
    }
  }

 private:
  const Load& load(int i) const { return modules_[static_cast<std::size_t>(i)]; }
  Load sum(const std::vector<int>& block) const {
    Load total;
    for (const int i : block) {
      total.capacity += load(i).capacity;
      total.resistance += load(i).resistance;
    }
    return total;
  }
  bool allowed(const Load& s) const {
    return s.capacity >= low_.capacity && s.capacity <= high_.capacity &&
           s.resistance >= low_.resistance && s.resistance <= high_.resistance;
  }

  bool sweep() {
    bool helped = false;
    for (std::size_t a = 0; a < members_.size(); ++a)
      for (std::size_t b = a + 1; b < members_.size(); ++b)
        for (int& one : members_[a])
          for (int& two : members_[b]) helped |= exchange(a, b, one, two);
    return helped;
  }

  bool exchange(std::size_t a, std::size_t b, int& one, int& two) {
    const std::int64_t capacity = load(one).capacity - load(two).capacity;
    const std::int64_t resistance = load(one).resistance - load(two).resistance;
    const Load sum_a{sums_[a].capacity - capacity, sums_[a].resistance - resistance};
    const Load sum_b{sums_[b].capacity + capacity, sums_[b].resistance + resistance};
    const std::int64_t before = std::llabs(sums_[a].capacity - sums_[b].capacity);
    if (std::llabs(sum_a.capacity - sum_b.capacity) >= before || !allowed(sum_a) || !allowed(sum_b))
      return false;
    std::swap(one, two);
    sums_[a] = sum_a;
    sums_[b] = sum_b;
    return true;
  }

  const std::vector<Load>& modules_;
  Members& members_;
  std::vector<Load> sums_;
  Load low_, high_;
};

}  // namespace

void even_inside(const std::vector<Load>& modules, Members& members) {
  if (!members.empty()) Evening(modules, members);
}

}  // namespace plumbstack
