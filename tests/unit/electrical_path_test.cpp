// The row against a second, naive way to work it out: every terminal is a point at the left or
// right end of its slot, and one walks from the pack's terminal at slot 1 through modules and bars.
#include <gmock/gmock.h>

#include "electrical_fixture.hpp"

namespace plumbstack {
namespace {

using test::plan_pack;
using test::row_of;
using test::seen;
using testing::ElementsAre;

struct Walk {
  std::vector<double> after_slot;                // V against the pack's terminal at slot 1
  std::vector<std::pair<bool, bool>> bar_signs;  // plus? of both terminals that a bar joins
  std::vector<bool> bar_left;
};

// plan_pack: slot 1 is planned with its plus at the left, slot 2 at the right, and so on.
Walk walk(const std::vector<double>& volts, unsigned wrong, bool negative_first) {
  Walk walk;
  const auto plus_is_left = [&](std::size_t i) {
    return (i % 2 == 0) != static_cast<bool>(wrong >> i & 1);
  };
  // The free terminal of slot 1 is its planned minus (right) where the negative end is there.
  bool at_left = !negative_first;
  double v = 0;
  for (std::size_t i = 0; i < volts.size(); ++i) {
    const bool enter_plus = at_left == plus_is_left(i);
    v += enter_plus ? -volts[i] : volts[i];
    walk.after_slot.push_back(v);
    at_left = !at_left;  // through the module to its other end
    if (i + 1 == volts.size()) break;
    walk.bar_left.push_back(at_left);
    walk.bar_signs.emplace_back(at_left == plus_is_left(i), at_left == plus_is_left(i + 1));
  }
  return walk;
}

TEST(SeriesPath, EveryWayToStackUpToSixModulesAgreesWithAWalkAlongTheRow) {
  const std::vector<double> all{7.9, 7.1, 8.3, 6.7, 7.5, 8.1};
  int rows = 0;
  for (int modules = 2; modules <= 6; ++modules)
    for (unsigned wrong = 0; wrong < 1u << modules; ++wrong)
      for (const StackEnd negative : {StackEnd::first, StackEnd::last})
        for (const int per_block : {1, 2, 3}) {
          const std::vector<double> volts(all.begin(), all.begin() + modules);
          ElectricalInput input = row_of(volts);
          input.negative_end = negative;
          for (int i = 0; i < modules; ++i)
            if (wrong >> i & 1) input.stacked[static_cast<std::size_t>(i)] = seen(WayRound::wrong);
          const Preview preview = electrical_preview(plan_pack(modules, per_block), input);
          const Walk truth = walk(volts, wrong, negative == StackEnd::first);

          ASSERT_EQ(preview.bars.size(), static_cast<std::size_t>(modules - 1));
          for (std::size_t b = 0; b < preview.bars.size(); ++b) {
            const BarPreview& bar = preview.bars[b];
            EXPECT_EQ(bar.end == End::left, truth.bar_left[b]);
            EXPECT_EQ(*bar.upper == Sign::plus, truth.bar_signs[b].first);
            EXPECT_EQ(*bar.lower == Sign::plus, truth.bar_signs[b].second);
            EXPECT_EQ(bar.join == Join::like,
                      truth.bar_signs[b].first == truth.bar_signs[b].second);
          }
          // Taps are against the negative end, the walk is against the end at slot 1.
          const double zero = negative == StackEnd::first ? 0 : truth.after_slot.back();
          EXPECT_NEAR(*preview.taps.front().as_stacked_v, -zero, 1e-9);
          for (std::size_t t = 1; t < preview.taps.size(); ++t) {
            const int slot = preview.blocks[t - 1].slots.back();
            EXPECT_NEAR(*preview.taps[t].as_stacked_v,
                        truth.after_slot[static_cast<std::size_t>(slot - 1)] - zero, 1e-9);
          }
          const double sign = negative == StackEnd::first ? 1 : -1;
          EXPECT_NEAR(*preview.as_stacked_v, sign * truth.after_slot.back(), 1e-9);
          EXPECT_EQ(preview.outcome, wrong == 0 ? Outcome::as_intended : Outcome::fix);
          ++rows;
        }
  EXPECT_EQ(rows, (4 + 8 + 16 + 32 + 64) * 6);
}

TEST(SeriesPath, OneModuleTheWrongWayRoundTakesItsVoltageAwayAndBothItsBarsJoinLikeSigns) {
  ElectricalInput input = row_of({7.8, 7.9, 7.7, 7.6});
  input.stacked[2] = seen(WayRound::wrong);
  const Preview preview = electrical_preview(plan_pack(4, 2), input);
  EXPECT_NEAR(preview.intended_v, 31.0, 1e-9);
  EXPECT_NEAR(*preview.as_stacked_v, 31.0 - 2 * 7.7, 1e-9);
  EXPECT_NEAR(*preview.blocks[1].as_stacked_v, -0.1, 1e-9);
  EXPECT_EQ(preview.bars[0].join, Join::unlike);
  EXPECT_EQ(preview.bars[1].join, Join::like);
  EXPECT_EQ(preview.bars[2].join, Join::like);
}

// No bar would tell: the ends of the pack have changed places.
TEST(SeriesPath, AWholeRowTheWrongWayRoundJoinsNoLikeSignsAndIsStillToBeFixed) {
  ElectricalInput input = row_of({7.8, 7.9, 7.7, 7.6});
  for (StackedModule& module : input.stacked) module = seen(WayRound::wrong);
  const Preview preview = electrical_preview(plan_pack(4, 2), input);
  for (const BarPreview& bar : preview.bars) EXPECT_EQ(bar.join, Join::unlike);
  EXPECT_NEAR(*preview.as_stacked_v, -31.0, 1e-9);
  EXPECT_EQ(preview.outcome, Outcome::fix);
  EXPECT_THAT(preview.advice.at(0).message, testing::HasSubstr("plus and minus have changed"));
}

TEST(SeriesPath, ASignThatIsNotKnownIsNeverTakenForOne) {
  ElectricalInput input = row_of({7.8, 7.9, 7.7, 7.6});
  input.stacked[1] = seen(WayRound::not_known);
  const Preview preview = electrical_preview(plan_pack(4, 2), input);
  EXPECT_EQ(preview.bars[0].join, Join::not_known);
  EXPECT_EQ(preview.bars[1].join, Join::not_known);
  EXPECT_EQ(preview.bars[2].join, Join::unlike);
  EXPECT_FALSE(preview.bars[0].lower);
  EXPECT_FALSE(preview.blocks[0].as_stacked_v);
  EXPECT_NEAR(preview.blocks[0].as_stacked.low, -0.1, 1e-9);
  EXPECT_NEAR(preview.blocks[0].as_stacked.high, 15.7, 1e-9);
  EXPECT_NEAR(*preview.blocks[1].as_stacked_v, 15.3, 1e-9);
  EXPECT_FALSE(preview.as_stacked_v);
  EXPECT_FALSE(preview.taps[1].as_stacked_v);
  EXPECT_EQ(preview.outcome, Outcome::not_known);
  // What is surely wrong outweighs what is not known.
  input.stacked[3] = seen(WayRound::wrong);
  EXPECT_EQ(electrical_preview(plan_pack(4, 2), input).outcome, Outcome::fix);
}

TEST(SeriesPath, AModuleInAnotherSlotBringsItsOwnVoltage) {
  ElectricalInput input = row_of({7.0, 7.1, 7.2, 7.3});
  input.stacked[0] = seen(WayRound::as_planned, 3);
  input.stacked[2] = seen(WayRound::as_planned, 1);
  const Preview preview = electrical_preview(plan_pack(4, 2), input);
  EXPECT_NEAR(*preview.blocks[0].as_stacked_v, 14.3, 1e-9);
  EXPECT_NEAR(*preview.blocks[1].as_stacked_v, 14.3, 1e-9);
  EXPECT_NEAR(preview.blocks[0].intended_v, 14.1, 1e-9);
}

TEST(TerminalEnds, AreNamedAsThePackNamesItsSides) {
  Pack pack = plan_pack(4, 2);
  EXPECT_EQ(terminal_ends(pack).left, "left on side top");
  EXPECT_EQ(terminal_ends(pack).slot_1_left, Sign::plus);
  Side a, b;
  a.name = "terminal-a";
  a.sign = SignRule{Sign::minus, std::nullopt, {}};
  b.name = "terminal-b";
  b.sign = SignRule{Sign::plus, std::nullopt, {}};
  pack.sides.push_back(a);
  pack.sides.push_back(b);
  EXPECT_EQ(terminal_ends(pack).left, "terminal-b");  // slot 1 shows its plus there
  EXPECT_EQ(terminal_ends(pack).right, "terminal-a");
  pack.sides.erase(pack.sides.begin());
  EXPECT_EQ(terminal_ends(pack).left, "terminal-a");  // nothing says which is left: the first
  EXPECT_EQ(terminal_ends(pack).slot_1_left, Sign::minus);
  pack.sides = {plan_pack(4, 2).sides[0]};
  pack.sides[0].sign->end = End::right;
  EXPECT_EQ(terminal_ends(pack).slot_1_left, Sign::minus);
}

TEST(Blocks, TheLastMayBeShort) {
  EXPECT_THAT(slots_by_block(plan_pack(5, 2)),
              ElementsAre(ElementsAre(1, 2), ElementsAre(3, 4), ElementsAre(5)));
}

TEST(Meter, ToleranceIsPercentOfTheReadingAndDigitsAndWhatTheModulesMayHaveMoved) {
  EXPECT_NEAR(meter_tolerance_v({0.5, 2, 0.01}, -20), 0.12, 1e-12);
  EXPECT_NEAR(meter_tolerance_v({0, 3, 0.1}, 500), 0.3, 1e-12);
  ElectricalInput input = row_of({7.8, 7.9, 7.7, 7.6}, 0.02);
  input.meter = {1, 1, 0.01};
  const Preview preview = electrical_preview(plan_pack(4, 2), input);
  EXPECT_NEAR(preview.blocks[0].meter.low, 15.66 - 0.1566 - 0.01, 1e-9);
  EXPECT_NEAR(preview.blocks[0].meter.high, 15.74 + 0.1574 + 0.01, 1e-9);
  EXPECT_NEAR(preview.taps[2].meter.low, 30.92 - 0.3092 - 0.01, 1e-9);
  EXPECT_NEAR(preview.taps[0].meter.high, 0.01, 1e-9);
}

TEST(HighVoltage, IsPassedFromTheNegativeEndWithTheFirstModuleThatMakesItMoreThan60) {
  // 8.4 V charged: seven 58.8 V, eight 67.2 V.
  const std::vector<double> twelve(12, 7.8);
  ElectricalInput input = row_of(twelve);
  HighVoltage high = electrical_preview(plan_pack(12, 3), input).high;
  EXPECT_EQ(high.fewest_modules, 8);
  EXPECT_EQ(high.slot, 8);
  EXPECT_EQ(high.tap, 3);  // slots 7 to 9 are block 3
  input.negative_end = StackEnd::last;
  high = electrical_preview(plan_pack(12, 3), input).high;
  EXPECT_EQ(high.slot, 5);  // slots 12 down to 5
  EXPECT_EQ(high.tap, 1);   // between blocks 1 and 2
  EXPECT_FALSE(electrical_preview(plan_pack(7, 2), row_of(std::vector<double>(7, 7.8))).high.slot);
}

TEST(HighVoltage, SixtyItselfIsNotOverAndWhatIsMeasuredHigherCounts) {
  Pack pack = plan_pack(9, 1);
  pack.electrical = ElectricalRule{5, 1.2, 1.5, 1};  // eight of 7.5 V are 60 V
  EXPECT_EQ(electrical_preview(pack, row_of(std::vector<double>(9, 7.0))).high.fewest_modules, 9);
  std::vector<double> volts(9, 7.0);
  volts[4] = 7.6;
  EXPECT_EQ(electrical_preview(pack, row_of(volts)).high.fewest_modules, 8);
}

}  // namespace
}  // namespace plumbstack
