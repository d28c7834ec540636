// Longest increasing subsequence: textbook examples.
#include <gtest/gtest.h>

#include "plumbstack/judge.hpp"

namespace plumbstack {
namespace {

// First 16 terms of the van der Corput sequence in binary, the usual example of the literature, and
// the example of most algorithm textbooks.
TEST(LongestIncreasingSubsequence, Textbook) {
  EXPECT_EQ(
      longest_increasing_subsequence({0, 8, 4, 12, 2, 10, 6, 14, 1, 9, 5, 13, 3, 11, 7, 15}).size(),
      6u);
  EXPECT_EQ(longest_increasing_subsequence({10, 9, 2, 5, 3, 7, 101, 18}).size(), 4u);
}

}  // namespace
}  // namespace plumbstack
