// What the present version is held to. `photo_suite --measure` prints this table anew: paste it,
// and read the difference before it is committed.
#include "suite.hpp"

namespace plumbstack::suite {
namespace {

constexpr Budget kBudgets[] = {
    {"bare-bench", 20, 20, 0, ""}, {"fl-0142", 20, 20, 0, ""}, {"fl-0143", 20, 20, 0, ""},
    {"fl-0144", 20, 20, 0, ""},    {"fl-0145", 20, 18, 0, ""}, {"fl-0146", 8, 8, 0, ""},
    {"fl-0147", 12, 12, 0, ""},    {"fl-0148", 20, 20, 0, ""}, {"fl-0149", 8, 8, 0, ""},
    {"fl-0150", 12, 12, 0, ""},
};

}  // namespace

std::span<const Budget> budgets() {
  return kBudgets;
}

// By the numbers that the networks are run in, short or long: nothing at present.
std::span<const Either> eithers() {
  return {};
}

}  // namespace plumbstack::suite
