// Arrangements against brute force, bounds against what is reached, and what each promises.
#include <gtest/gtest.h>

#include <set>

#include "arrange_parts.hpp"
#include "plan_brute_force.hpp"

namespace plumbstack {
namespace {

using test::brute_force;
using test::modules_by_lot;

// Each block full, no module twice, and the spread as told.
void expect_sound(const BlockTask& task, const Blocks& blocks) {
  std::set<int> used;
  ASSERT_EQ(blocks.members.size(), static_cast<std::size_t>(task.blocks));
  for (const auto& block : blocks.members) {
    ASSERT_EQ(block.size(), static_cast<std::size_t>(task.per_block));
    for (const int i : block) {
      EXPECT_TRUE(used.insert(i).second);
      EXPECT_LT(static_cast<std::size_t>(i), task.modules.size());
    }
  }
  EXPECT_EQ(blocks.spread, spread_of(task.modules, blocks.members));
  EXPECT_LE(blocks.capacity_bound, blocks.spread.capacity);
}

void expect_best(const BlockTask& task, unsigned seed) {
  const Blocks blocks = arrange_blocks(task);
  expect_sound(task, blocks);
  const Spread best = brute_force(task);
  const std::string which = std::to_string(task.modules.size()) + " modules, " +
                            std::to_string(task.blocks) + " blocks of " +
                            std::to_string(task.per_block) + ", seed " + std::to_string(seed);
  EXPECT_EQ(blocks.spread.capacity, best.capacity) << which;
  EXPECT_EQ(blocks.spread.resistance, best.resistance) << which;
  EXPECT_EQ(blocks.capacity_bound, best.capacity) << which;
  EXPECT_TRUE(blocks.resistance_proved) << which;
}

// Every number of modules up to nine, every size and number of blocks that fits, coarse and fine.
TEST(Arrange, EveryShapeUpToNineModulesIsAsGoodAsBruteForce) {
  int tasks = 0;
  for (std::size_t n = 1; n <= 9; ++n)
    for (int per_block = 1; per_block <= static_cast<int>(n); ++per_block)
      for (int blocks = 1; blocks * per_block <= static_cast<int>(n); ++blocks)
        for (const int steps : {4, 30, 900})
          for (unsigned seed = 1; seed <= 2; ++seed, ++tasks)
            expect_best({modules_by_lot(n, seed, steps), blocks, per_block}, seed);
  EXPECT_EQ(tasks, 6 * (1 + 3 + 5 + 8 + 10 + 14 + 16 + 20 + 23));
}

TEST(Arrange, PairsOfTenModules) {
  for (const int steps : {5, 40, 900})
    for (unsigned seed = 1; seed <= 6; ++seed)
      for (const int blocks : {3, 4, 5})
        expect_best({modules_by_lot(10, seed, steps), blocks, 2}, seed);
}

TEST(Arrange, TwelveModules) {
  for (const int steps : {12, 900}) {
    expect_best({modules_by_lot(12, 1, steps), 6, 2}, 1);
    expect_best({modules_by_lot(12, 2, steps), 5, 2}, 2);
    for (const int per_block : {3, 4, 6})
      expect_best({modules_by_lot(12, 3, steps), 12 / per_block, per_block}, 3);
    expect_best({modules_by_lot(12, 4, steps), 3, 3}, 4);
    expect_best({modules_by_lot(12, 5, steps), 2, 5}, 5);
  }
}

TEST(Arrange, AllModulesInPairsAreSpreadAsTheSortedEndsAre) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    const BlockTask task{modules_by_lot(34, seed, 800), 17, 2};
    const Blocks blocks = arrange_blocks(task);
    expect_sound(task, blocks);
    std::vector<std::int64_t> row;
    for (const Load& module : task.modules) row.push_back(module.capacity);
    std::sort(row.begin(), row.end());
    std::int64_t low = row[0] + row[33], high = low;
    for (std::size_t i = 0; i < 17; ++i) {
      low = std::min(low, row[i] + row[33 - i]);
      high = std::max(high, row[i] + row[33 - i]);
    }
    EXPECT_EQ(blocks.spread.capacity, high - low);
    EXPECT_EQ(blocks.capacity_bound, high - low);
    EXPECT_TRUE(blocks.resistance_proved);
  }
}

TEST(Arrange, SparesAreLeftOutWhereThatHelps) {
  // One module far too strong and one far too weak: with two spares they are the two.
  std::vector<Load> modules = modules_by_lot(10, 3, 30);
  modules[2].capacity = 9000;
  modules[7].capacity = 3000;
  const Blocks blocks = arrange_blocks({modules, 4, 2});
  for (const auto& block : blocks.members)
    for (const int i : block) EXPECT_TRUE(i != 2 && i != 7);
}

TEST(Arrange, TheSameTaskGivesTheSameBlocks) {
  for (const int per_block : {1, 2, 5}) {
    const BlockTask task{modules_by_lot(40, 9, 700), 35 / per_block, per_block};
    EXPECT_EQ(arrange_blocks(task).members, arrange_blocks(task).members);
  }
}

TEST(PairsWithin, FindsAsManyAsThereAre) {
  // All windows of some rows of seven, against all ways to pair them.
  for (unsigned seed = 1; seed <= 8; ++seed) {
    const auto modules = modules_by_lot(7, seed, 12);
    for (std::int64_t low = 12000; low <= 12022; low += 2)
      for (std::int64_t high = low; high <= 12022; high += 3) {
        std::size_t most = 0;
        std::vector<int> order{0, 1, 2, 3, 4, 5, 6};
        do {
          std::size_t pairs = 0;
          for (std::size_t i = 0; i + 1 < 7; i += 2) {
            const auto sum = modules[static_cast<std::size_t>(order[i])].capacity +
                             modules[static_cast<std::size_t>(order[i + 1])].capacity;
            pairs += sum >= low && sum <= high;
          }
          most = std::max(most, pairs);
        } while (std::next_permutation(order.begin(), order.end()));
        EXPECT_EQ(pairs_within(modules, low, high).size(), most) << seed << " " << low;
      }
  }
}

TEST(SpreadBound, IsNeverAboveTheLeastSpread) {
  int tight = 0, above_zero = 0;
  for (unsigned seed = 1; seed <= 60; ++seed) {
    std::vector<Load> modules = modules_by_lot(9, seed, seed % 3 == 0 ? 5 : 60);
    if (seed % 4 == 0) modules[seed % 9].capacity += 700;  // one that no block can balance
    if (seed % 4 == 1) modules[seed % 9].capacity -= 700;
    const BlockTask task{modules, 3, 3};
    const std::int64_t bound = capacity_spread_bound(task), best = brute_force(task).capacity;
    EXPECT_LE(bound, best) << seed;
    tight += bound == best;
    above_zero += bound > 1;
  }
  EXPECT_GE(tight, 15);
  EXPECT_GE(above_zero, 25);
}

TEST(Arrange, SearchFindsTheLeastWhereItIsKnown) {
  // Asked directly, since arrange_blocks would try all.
  for (unsigned seed = 1; seed <= 3; ++seed) {
    const BlockTask task{modules_by_lot(12, seed, 500), 4, 3};
    const Blocks found = arrange_by_search(task, capacity_spread_bound(task));
    const Spread spread = spread_of(task.modules, found.members), best = brute_force(task);
    EXPECT_EQ(spread.capacity, best.capacity) << seed;
    EXPECT_EQ(spread.resistance, best.resistance) << seed;
  }
}

TEST(Arrange, WhatIsProvedIsTheLeastAndWhatIsGivenUpIsNotProved) {
  const BlockTask task{modules_by_lot(12, 4, 500), 4, 3};
  const Members as_listed{{0, 1, 2}, {3, 4, 5}, {6, 7, 8}, {9, 10, 11}};
  Members members = as_listed;
  EXPECT_TRUE(better_or_prove(task, members, 1'000'000));
  EXPECT_EQ(spread_of(task.modules, members), brute_force(task));
  members = as_listed;
  EXPECT_FALSE(better_or_prove(task, members, 3));
  // Too many arrangements to try them all (190 million), yet proved; more of them are not.
  const Blocks eighteen = arrange_blocks({modules_by_lot(18, 1, 600), 6, 3});
  EXPECT_TRUE(eighteen.resistance_proved);
  EXPECT_EQ(eighteen.capacity_bound, eighteen.spread.capacity);
  EXPECT_FALSE(arrange_blocks({modules_by_lot(40, 1, 600'000), 8, 5}).resistance_proved);
}

TEST(Arrange, FortyModulesInFivesAreWithinOnePerCentOfTheBound) {
  for (const int steps : {60, 600, 600'000})  // 0.01 Ah, 1 mAh and 1 uAh over 0.6 Ah
    for (unsigned seed = 1; seed <= 3; ++seed) {
      BlockTask task{modules_by_lot(40, seed, steps), 8, 5};
      const std::int64_t base = steps == 60 ? 600 : steps == 600 ? 6000 : 6'000'000;
      for (Load& module : task.modules) module.capacity += base - 6000;
      const Blocks blocks = arrange_blocks(task);
      expect_sound(task, blocks);
      std::int64_t total = 0;
      for (const Load& module : task.modules) total += module.capacity;
      // One per cent of a block, and far less than that.
      EXPECT_LE(blocks.spread.capacity - blocks.capacity_bound, total / 8 / 100);
      EXPECT_LE(blocks.spread.capacity - blocks.capacity_bound, total / 8 / 5000) << seed;
      if (steps == 60) {
        EXPECT_EQ(blocks.spread.capacity, blocks.capacity_bound) << seed;
      }
      RecordProperty("gap_" + std::to_string(steps) + "_" + std::to_string(seed),
                     std::to_string(blocks.spread.capacity - blocks.capacity_bound));
    }
}

}  // namespace
}  // namespace plumbstack
