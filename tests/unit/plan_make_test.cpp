// Limits, blocks, cool ends: from a sheet to slots.
#include <gmock/gmock.h>

#include "plan_fixture.hpp"
#include "plan_parts.hpp"

namespace plumbstack {
namespace {

using test::plan_pack;
using test::serials;
using test::sheet_of;
using testing::ElementsAre;
using testing::HasSubstr;

std::string refusals(const Pack& pack, const TestSheet& sheet) {
  const auto plan = make_plan(pack, sheet);
  if (!plan) return plan.error().message;
  std::string text;
  for (const RefusedModule& refused : plan->refused)
    text += sheet.modules[refused.module].serial + ": " + refused.reason + "\n";
  return text;
}

TEST(Plan, SortedEndsAreSpreadLeastAndTheWeakerBlockStandsAtTheCoolEnd) {
  // Pairs A+D 12.0, B+C 12.2: any other pairing spreads more.
  const TestSheet sheet = sheet_of({5.5, 6.0, 6.2, 6.5});
  const auto first = make_plan(plan_pack(4, 2, CoolEnd::first), sheet);
  ASSERT_TRUE(first);
  EXPECT_EQ(serials(*first, sheet), "ADBC");
  EXPECT_NEAR(first->spread.capacity_ah, 0.2, 1e-9);
  EXPECT_NEAR(first->bound_ah, 0.2, 1e-9);
  EXPECT_NEAR(first->before.capacity_ah, 1.2, 1e-9);
  EXPECT_THAT(first->before_ah,
              ElementsAre(testing::DoubleNear(11.5, 1e-9), testing::DoubleNear(12.7, 1e-9)));
  EXPECT_EQ(first->slots[2].number, 13);  // the pack's numbers begin at 11
  EXPECT_EQ(first->blocks[1].slots, (std::vector<int>{3, 4}));
  EXPECT_NEAR(first->blocks[1].capacity_min_ah, 6.0, 1e-9);
  const auto last = make_plan(plan_pack(4, 2, CoolEnd::last), sheet);
  EXPECT_EQ(serials(*last, sheet), "CBDA");
}

TEST(Plan, BothEndsCool) {
  EXPECT_THAT(coolest_first(5, CoolEnd::both), ElementsAre(0, 4, 1, 3, 2));
  EXPECT_THAT(coolest_first(4, CoolEnd::both), ElementsAre(0, 3, 1, 2));
  EXPECT_THAT(coolest_first(3, CoolEnd::first), ElementsAre(0, 1, 2));
  EXPECT_THAT(coolest_first(3, CoolEnd::last), ElementsAre(2, 1, 0));
  const TestSheet sheet = sheet_of({6.1, 6.5, 6.2, 6.4, 6.3});
  const auto plan = make_plan(plan_pack(5, 1, CoolEnd::both), sheet);
  EXPECT_EQ(serials(*plan, sheet), "AEBDC");
}

TEST(Plan, InEachBlockTheWeakerModuleStandsToTheCoolerSide) {
  const TestSheet sheet = test::sheet_by_lot(10, 7);
  for (const CoolEnd cool : {CoolEnd::first, CoolEnd::last, CoolEnd::both}) {
    const auto plan = make_plan(plan_pack(10, 2, cool), sheet);
    ASSERT_TRUE(plan);
    for (int block = 0; block < 5; ++block) {
      const auto at = [&](int slot) {
        return sheet.modules[plan->slots[static_cast<std::size_t>(slot)].module].capacity_ah;
      };
      // With both ends cool the middle block, the third, counts to the first half.
      const bool weaker_first = cool == CoolEnd::first || (cool == CoolEnd::both && block < 3);
      const double low = at(2 * block), high = at(2 * block + 1);
      EXPECT_TRUE(weaker_first ? low <= high : low >= high) << block;
    }
  }
}

TEST(Plan, AmongEqualCapacitiesHigherResistanceIsWeaker) {
  TestSheet sheet = sheet_of({6, 6, 6});
  sheet.modules[1].resistance_mohm = 21;
  sheet.modules[2].resistance_mohm = 19;
  const auto plan = make_plan(plan_pack(3, 1, CoolEnd::first), sheet);
  EXPECT_EQ(serials(*plan, sheet), "BCA");
}

TEST(Plan, AShortLastBlockTakesTheStrongestOfWhatIsLeft) {
  // B+C and D+E are equal: F, A and G stay, of which F is the strongest.
  const TestSheet sheet = sheet_of({5.1, 6.0, 6.2, 6.0, 6.2, 6.9, 5.3});
  const auto plan = make_plan(plan_pack(5, 2), sheet);
  ASSERT_TRUE(plan);
  ASSERT_EQ(plan->blocks.size(), 3u);
  EXPECT_FALSE(plan->blocks[2].full);
  EXPECT_EQ(plan->blocks[2].slots, std::vector<int>{5});
  EXPECT_EQ(serials(*plan, sheet).substr(4), "F");
  EXPECT_NEAR(plan->spread.capacity_ah, 0, 1e-9);
  ASSERT_EQ(plan->spares.size(), 2u);
  EXPECT_EQ(sheet.modules[plan->spares[0]].serial, "G");
  EXPECT_EQ(sheet.modules[plan->spares[1]].serial, "A");
}

TEST(Plan, ABlockLargerThanThePackIsShort) {
  const TestSheet sheet = sheet_of({6.1, 6.4, 6.2});
  const auto plan = make_plan(plan_pack(2, 5), sheet);
  ASSERT_TRUE(plan);
  EXPECT_EQ(serials(*plan, sheet), "CB");
  EXPECT_EQ(plan->blocks.size(), 1u);
  EXPECT_EQ(plan->spread.capacity_ah, 0);
}

TEST(Plan, ModulesBeyondTheLimitsAreRefusedWithTheReason) {
  TestSheet sheet = sheet_of({6.0, 6.1, 4.999, 5.0, 4.2, 6.3});
  sheet.modules[1].resistance_mohm = 25.01;
  sheet.modules[3].resistance_mohm = 25;  // on the limits themselves: good
  sheet.modules[4].leak = LeakTest::failed;
  sheet.modules[5].leak = LeakTest::not_done;
  Pack pack = plan_pack(2, 1);
  pack.plan->capacity_min_ah = 5;
  pack.plan->resistance_max_mohm = 25;
  EXPECT_EQ(refusals(pack, sheet),
            "B: resistance 25.01 mΩ is over 25 mΩ\n"
            "C: capacity 4.999 Ah is under 5 Ah\n"
            "E: leak test failed; capacity 4.2 Ah is under 5 Ah\n"
            "F: leak test not done\n");
}

TEST(Plan, TheWindowOfVoltageHoldsAsManyAsCanBe) {
  TestSheet sheet = sheet_of({6, 6, 6, 6, 6});
  const double volts[] = {7.85, 7.90, 7.91, 7.80, 7.95};
  for (std::size_t i = 0; i < 5; ++i) sheet.modules[i].voltage_v = volts[i];
  Pack pack = plan_pack(2, 1);
  pack.plan->voltage_spread_mv = 50;  // 7.90 to 7.95 holds three, as no other window does
  EXPECT_EQ(
      refusals(pack, sheet),
      "A: voltage 7.850 V is outside 7.900 to 7.950 V, where most modules are (limit 50 mV)\n"
      "D: voltage 7.800 V is outside 7.900 to 7.950 V, where most modules are (limit 50 mV)\n");
  // A refused module has no say in it.
  sheet.modules[1].leak = LeakTest::failed;
  EXPECT_THAT(refusals(pack, sheet), HasSubstr("B: leak test failed"));
  EXPECT_THAT(refusals(pack, sheet), testing::Not(HasSubstr("E: ")));
}

TEST(Plan, TooFewModulesAreToldWithTheReasons) {
  TestSheet sheet = sheet_of({6, 6, 4, 6});
  Pack pack = plan_pack(4, 2);
  pack.plan->capacity_min_ah = 5;
  const auto plan = make_plan(pack, sheet);
  ASSERT_FALSE(plan);
  EXPECT_EQ(plan.error().code, ErrorCode::modules_short);
  EXPECT_EQ(plan.error().message,
            "short needs 4 modules, and 3 of the 4 listed are within its limits; refused: C "
            "(capacity 4 Ah is under 5 Ah)");
  EXPECT_FALSE(make_plan(plan_pack(5, 2), sheet));
}

TEST(Plan, WithoutLimitsAndElectricalEveryModuleIsABlock) {
  Pack pack = plan_pack(3, 2);
  pack.plan.reset();
  pack.electrical.reset();
  const auto plan = make_plan(pack, sheet_of({1, 2, 3, 9}));
  ASSERT_TRUE(plan);
  EXPECT_EQ(plan->blocks.size(), 3u);
  EXPECT_EQ(plan->spares.size(), 1u);
}

TEST(Plan, EverySlotHasOneModuleAndEveryModuleOnePlace) {
  for (const int per_block : {1, 2, 3, 5, 7})
    for (const int modules : {20, 21}) {
      const TestSheet sheet = test::sheet_by_lot(24, 5);
      const auto plan = make_plan(plan_pack(modules, per_block, CoolEnd::both), sheet);
      ASSERT_TRUE(plan);
      ASSERT_EQ(plan->slots.size(), static_cast<std::size_t>(modules));
      std::vector<int> times(sheet.modules.size(), 0);
      for (const PlannedSlot& slot : plan->slots) ++times[slot.module];
      for (const std::size_t spare : plan->spares) ++times[spare];
      EXPECT_THAT(times, testing::Each(1));
      int slot = 0;
      for (const PlannedBlock& block : plan->blocks)
        for (const int one : block.slots) EXPECT_EQ(one, ++slot);
    }
}

}  // namespace
}  // namespace plumbstack
