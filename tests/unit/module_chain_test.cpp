// Where a stack begins and ends: outer intervals that look like their fellows stay, plates go, and
// what is open is said to be open.
#include <gtest/gtest.h>

#include "parts.hpp"
#include "plain_frame.hpp"
#include "plain_maps.hpp"

namespace plumbstack {
namespace {

Interval module() {
  Interval one;
  one.likeness = {1, 1, 1, 0, 1};
  return one;
}
Interval plate() {
  Interval one;
  one.likeness = {0.4, 0.1, 0.1, 0.2, 4};
  return one;
}
Interval doubtful() {
  Interval one = module();
  one.likeness = {0.55, 0.3, 0.3, 0.02, 1.4};
  return one;
}

std::vector<Interval> chain(int modules, const std::vector<Interval>& before,
                            const std::vector<Interval>& after) {
  std::vector<Interval> all = before;
  all.insert(all.end(), static_cast<std::size_t>(modules), module());
  all.insert(all.end(), after.begin(), after.end());
  return all;
}

TEST(ModuleChain, ModulesAndPlatesAreToldApart) {
  EXPECT_GT(module_probability(module().likeness), 0.98);
  EXPECT_LT(module_probability(plate().likeness), 0.02);
}

TEST(ModuleChain, APlateJustLikeAModuleIsToldByItsMissingMarks) {
  Likeness alike = module().likeness;
  EXPECT_GT(module_probability(alike), 0.98);
  alike.marks = 0, alike.surface = 2;
  EXPECT_LT(module_probability(alike), 0.5);
}

TEST(ModuleChain, PlatesGoAtBothEndsAndTheCountIsSure) {
  for (const int expected : {20, 19, 21}) {  // whatever the pack says
    auto strips = chain(20, {plate(), plate()}, {plate()});
    EXPECT_GT(trim_chain(strips, expected), 0.9);
    EXPECT_EQ(strips.size(), 20U);
  }
}

TEST(ModuleChain, ADoubtfulIntervalGoesWithThePackAndIsNotSure) {
  const double p = module_probability(doubtful().likeness);
  ASSERT_GT(p, 0.1);
  ASSERT_LT(p, 0.9);
  for (const int expected : {20, 21}) {
    auto strips = chain(20, {doubtful()}, {});
    const double sure = trim_chain(strips, expected);
    EXPECT_EQ(strips.size(), static_cast<std::size_t>(expected));
    EXPECT_LT(sure, 0.95);
  }
}

TEST(ModuleChain, OneClearlyTooManyIsNotForcedToFit) {
  auto strips = chain(21, {plate()}, {plate()});
  trim_chain(strips, 20);
  EXPECT_EQ(strips.size(), 21U);
}

std::vector<Interval> intervals(std::size_t count) {
  std::vector<Interval> all(count);
  for (std::size_t i = 0; i < count; ++i)
    all[i].top = kPitch * double(i), all[i].bottom = all[i].top + kPitch;
  return all;
}

TEST(ModuleChain, APlateShowsNoneOfTheMarksOfItsFellows) {
  FaceMaps maps = empty_maps();
  for (std::size_t i = 1; i < 8; ++i) {  // one is as clear as another, wherever on its strip
    add_peak(maps, FacePlane::text_90, {60, kPitch * (double(i) + 0.4)}, 0.8);
    add_peak(maps, FacePlane::vent, {i % 2 ? 30 : kStrip - 30, kPitch * (double(i) + 0.5)}, 0.6);
  }
  auto strips = intervals(8);
  compare_marks(maps, kStrip, strips);
  EXPECT_LT(strips[0].likeness.marks, 0.1);
  EXPECT_GT(strips[1].likeness.marks, 0.9);
  EXPECT_GT(strips[7].likeness.marks, 0.9);
}

TEST(ModuleChain, WhereNoModuleShowsAMarkNoneIsMissed) {
  FaceMaps maps = empty_maps();
  add_peak(maps, FacePlane::text_0, {60, 3.5 * kPitch}, 0.8);  // one of eight is no rule
  auto strips = intervals(8);
  compare_marks(maps, kStrip, strips);
  EXPECT_EQ(strips[0].likeness.marks, 1);
}

}  // namespace
}  // namespace plumbstack
