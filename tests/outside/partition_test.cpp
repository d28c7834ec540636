// Number partitioning: published instances. Ours asks for blocks of equal count, theirs does not,
// so each row is filled up with as many zeros: then any division of it is one of equal counts.
#include <gtest/gtest.h>

#include "arrange_parts.hpp"

namespace plumbstack {
namespace {

BlockTask halves(std::vector<std::int64_t> numbers) {
  numbers.resize(2 * numbers.size(), 0);
  BlockTask task{{}, 2, static_cast<int>(numbers.size()) / 2};
  for (const std::int64_t number : numbers) task.modules.push_back({number, 0});
  return task;
}

std::int64_t sum_of(const BlockTask& task, const std::vector<int>& block) {
  std::int64_t sum = 0;
  for (const int i : block) sum += task.modules[static_cast<std::size_t>(i)].capacity;
  return sum;
}

// {8, 7, 6, 5, 4}: greedy leaves a difference of 4, Karmarkar-Karp 2; the least is 0 (the usual
// example of the literature on number partitioning; from memory, recomputed).
TEST(Partition, FiveNumbers) {
  const Blocks blocks = arrange_blocks(halves({8, 7, 6, 5, 4}));
  EXPECT_EQ(blocks.spread.capacity, 0);
  EXPECT_EQ(blocks.capacity_bound, 0);
}

// Two rows of ten, both with perfect divisions: 23 of them in the first (sum 54), a single one in
// the second (sum 5280), of which greedy leaves 32 and Karmarkar-Karp 26. Attributed to B. Hayes,
// "The easiest hard problem", American Scientist 90 (2002); the attribution is from memory, the
// figures were recomputed.
TEST(Partition, TenNumbersWithManyPerfectDivisions) {
  EXPECT_EQ(arrange_blocks(halves({2, 10, 3, 8, 5, 7, 9, 5, 3, 2})).spread.capacity, 0);
}

TEST(Partition, TenNumbersWithOnePerfectDivision) {
  const BlockTask task = halves({771, 121, 281, 854, 885, 734, 486, 1003, 83, 62});
  const Blocks tried_all = arrange_blocks(task);
  EXPECT_EQ(tried_all.spread.capacity, 0);
  EXPECT_EQ(sum_of(task, tried_all.members[0]), 2640);
  // The search for blocks too many to try finds the single one too.
  const Blocks searched = arrange_by_search(task, 0);
  EXPECT_EQ(sum_of(task, searched.members[0]), 2640);
  EXPECT_EQ(sum_of(task, searched.members[1]), 2640);
}

}  // namespace
}  // namespace plumbstack
