// What the present version is held to. `photo_suite --measure` prints this table anew: paste it,
// and read the difference before it is committed.
#include "suite.hpp"

namespace plumbstack::suite {
namespace {

constexpr Budget kBudgets[] = {
    {"bare-bench", 20, 20, 0, ""},
    {"fl-0142", 20, 9, 0, ""},
    {"fl-0143", 20, 15, 0, ""},
    {"fl-0144", 20, 14, 0, ""},
    {"fl-0145", 20, 7, 2,
     "terminal-b: a stagger.over of a strip whose ribs were laid one on the next; recompressed, a "
     "count.short"},
    {"fl-0146", 8, 6, 0, ""},
    {"fl-0147", 12, 4, 0, ""},
    {"fl-0148", 20, 14, 0, ""},
    {"fl-0149", 8, 7, 1, "top turned: a stagger.over beside the gap"},
    {"fl-0150", 12, 9, 3,
     "counted with an end plate: seat.gap, stagger.over and sign.repeat there"},
};

}  // namespace

std::span<const Budget> budgets() {
  return kBudgets;
}

std::span<const Either> eithers() {
  return {};
}

}  // namespace plumbstack::suite
