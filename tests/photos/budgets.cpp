// What the present version is held to. `photo_suite --measure` prints this table anew: paste it,
// and read the difference before it is committed.
#include "suite.hpp"

namespace plumbstack::suite {
namespace {

constexpr Budget kBudgets[] = {
    {"bare-bench", 20, 20, 0, ""},
    {"fl-0142", 20, 14, 0, ""},
    {"fl-0143", 20, 20, 0, ""},
    {"fl-0144", 20, 20, 0, ""},
    {"fl-0145", 20, 16, 1, "number: slot 30 read as 80"},
    {"fl-0146", 8, 8, 0, ""},
    {"fl-0147", 12, 12, 0, ""},
    {"fl-0148", 20, 20, 0, ""},
    {"fl-0149", 8, 8, 0, ""},
    {"fl-0150", 12, 12, 0, ""},
};

// By the numbers that the networks are run in, short or long.
constexpr Either kEithers[] = {
    {"fl-0145", "number", "plain", "slot 30 read as 80, or unsure"},
    {"fl-0145", "number", "darker", "slot 30 read as 80, or unsure"},
    {"fl-0145", "number", "recompressed", "slot 30 read as 80, or unsure"},
};

}  // namespace

std::span<const Budget> budgets() {
  return kBudgets;
}

std::span<const Either> eithers() {
  return kEithers;
}

}  // namespace plumbstack::suite
