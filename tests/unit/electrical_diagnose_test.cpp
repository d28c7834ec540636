// Which faults explain meter readings: against a naive search over all faults and all pairs, and
// the cases that a technician meets.
#include <gmock/gmock.h>

#include <algorithm>
#include <random>
#include <set>

#include "electrical_fixture.hpp"

namespace plumbstack {
namespace {

using test::plan_pack;
using test::readings_of;
using test::row_of;
using test::seen;
using testing::ElementsAre;
using testing::HasSubstr;

constexpr int kCells = 3;
using Faults = std::vector<Fault>;

Pack pack_of(int modules, int per_block) {
  Pack pack = plan_pack(modules, per_block);
  pack.electrical->cells_per_module = kCells;
  return pack;
}

int block_of(int slot, int per_block) {
  return (slot - 1) / per_block + 1;
}

Faults every_fault(int modules, int per_block) {
  Faults all;
  for (const auto& slots : slots_by_block(pack_of(modules, per_block)))
    all.push_back({FaultKind::open, block_of(slots.front(), per_block), 0, 0, slots});
  for (int slot = 1; slot <= modules; ++slot) {
    const int block = block_of(slot, per_block);
    all.push_back({FaultKind::turned, block, 0, 0, {slot}});
    for (int cells = 1; cells <= kCells; ++cells)
      all.push_back({FaultKind::shorted_cells, block, 0, cells, {slot}});
    for (int far = slot + 1; far <= modules; ++far)
      if (const int other = block_of(far, per_block); other != block)
        all.push_back({FaultKind::swapped, block, other, 0, {slot, far}});
  }
  return all;
}

// Lowest and highest a meter may show of each block, from scratch; nullopt = open.
std::vector<std::optional<VoltSpan>> meter_shows(const ElectricalInput& input, int per_block,
                                                 const Faults& faults) {
  std::vector<VoltSpan> modules;
  for (const ModuleVolts& module : input.modules) modules.push_back(module.span);
  std::set<int> open;
  for (const Fault& f : faults) {
    if (f.kind == FaultKind::open) open.insert(f.block);
    if (f.kind == FaultKind::swapped)
      std::swap(modules[static_cast<std::size_t>(f.slots[0] - 1)],
                modules[static_cast<std::size_t>(f.slots[1] - 1)]);
  }
  for (const Fault& f : faults) {
    VoltSpan& span = modules[static_cast<std::size_t>(f.slots[0] - 1)];
    if (f.kind == FaultKind::turned) span = {-span.high, -span.low};
    const double left = 1 - static_cast<double>(f.cells) / kCells;
    if (f.kind == FaultKind::shorted_cells) span = {left * span.low, left * span.high};
  }
  std::vector<std::optional<VoltSpan>> blocks;
  for (std::size_t i = 0; i < modules.size(); ++i) {
    if (i % static_cast<std::size_t>(per_block) == 0) blocks.push_back(VoltSpan{});
    blocks.back()->low += modules[i].low;
    blocks.back()->high += modules[i].high;
  }
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    if (open.contains(static_cast<int>(b) + 1)) {
      blocks[b].reset();
      continue;
    }
    blocks[b]->low -= meter_tolerance_v(input.meter, blocks[b]->low);
    blocks[b]->high += meter_tolerance_v(input.meter, blocks[b]->high);
  }
  return blocks;
}

bool explains(const ElectricalInput& input, int per_block, const Faults& faults) {
  const auto shows = meter_shows(input, per_block, faults);
  for (std::size_t b = 0; b < shows.size(); ++b) {
    const MeterReading& reading = input.readings[b];
    if (reading.open && shows[b]) return false;
    if (!reading.v) continue;
    const VoltSpan span = shows[b].value_or(
        VoltSpan{-meter_tolerance_v(input.meter, 0), meter_tolerance_v(input.meter, 0)});
    if (*reading.v < span.low - 1e-9 || *reading.v > span.high + 1e-9) return false;
  }
  return true;
}

// Pairs that are no case of their own: one module turned twice, or shorted twice (that is one fault
// with more cells); nothing can be said of more in an open block; two swaps that share a module.
bool make_a_case(const Fault& a, const Fault& b) {
  for (const auto& [one, two] : {std::pair(a, b), std::pair(b, a)})
    if (one.kind == FaultKind::open && (two.block == one.block || two.other_block == one.block))
      return false;
  if (a.kind != b.kind) return true;
  return std::none_of(a.slots.begin(), a.slots.end(), [&](int slot) {
    return std::find(b.slots.begin(), b.slots.end(), slot) != b.slots.end();
  });
}

std::set<Faults> naive(const ElectricalInput& input, int per_block) {
  const Faults all = every_fault(static_cast<int>(input.modules.size()), per_block);
  std::set<Faults> found;
  for (const Fault& one : all)
    if (explains(input, per_block, {one})) found.insert({one});
  if (!found.empty()) return found;
  for (std::size_t i = 0; i < all.size(); ++i)
    for (std::size_t k = i + 1; k < all.size(); ++k) {
      Faults both{all[i], all[k]};
      std::sort(both.begin(), both.end());
      if (make_a_case(all[i], all[k]) && explains(input, per_block, both)) found.insert(both);
    }
  return found;
}

std::set<Faults> found_by(const Diagnosis& diagnosis) {
  std::set<Faults> found;
  for (const Explanation& one : diagnosis.explanations)
    found.insert(one.candidates.begin(), one.candidates.end());
  return found;
}

TEST(Diagnosis, FindsJustWhatASearchOverAllFaultsAndAllPairsFinds) {
  std::mt19937 lot(7);
  const auto share = [&] { return static_cast<double>(lot() % 10000) / 10000; };
  int with_faults = 0, of_two = 0, ambiguous = 0;
  for (int round = 0; round < 400; ++round) {
    const int per_block = 1 + static_cast<int>(lot() % 3),
              modules = 4 + static_cast<int>(lot() % 4);
    std::vector<double> volts;
    for (int i = 0; i < modules; ++i) volts.push_back(3.6 + 0.6 * share());
    ElectricalInput input = row_of(volts, 0.005 + 0.03 * share());
    // Two faults by lot (or the same one twice), and what a meter then shows.
    const Faults all = every_fault(modules, per_block);
    Faults faults{all[lot() % all.size()], all[lot() % all.size()]};
    if (lot() % 2 == 0 || !make_a_case(faults[0], faults[1])) faults.pop_back();
    for (const auto& span : meter_shows(input, per_block, faults)) {
      if (span)
        input.readings.push_back({span->low + share() * (span->high - span->low), false});
      else
        input.readings.push_back({std::nullopt, true});
      if (lot() % 12 == 0) input.readings.back() = {};
    }
    const Diagnosis diagnosis = electrical_preview(pack_of(modules, per_block), input).diagnosis;
    if (explains(input, per_block, {})) {
      EXPECT_EQ(diagnosis.state, DiagnosisState::all_within);
      continue;
    }
    const std::set<Faults> truth = naive(input, per_block);
    EXPECT_EQ(diagnosis.state, DiagnosisState::explained);
    EXPECT_EQ(found_by(diagnosis), truth) << "round " << round;
    std::sort(faults.begin(), faults.end());
    EXPECT_TRUE(truth.begin()->size() < faults.size() || truth.contains(faults));
    ++with_faults;
    of_two += truth.begin()->size() == 2;
    ambiguous += truth.size() > 1;
  }
  EXPECT_GT(with_faults, 250);
  EXPECT_GT(of_two, 50);
  EXPECT_GT(ambiguous, 100);
}

// Eight modules in pairs, six cells each, all within 10 mV.
struct Case {
  Pack pack = plan_pack(8, 2);
  ElectricalInput input = row_of({7.85, 7.86, 7.84, 7.85, 7.86, 7.85, 7.84, 7.85});
  Diagnosis of(const std::vector<double>& readings) {
    input.readings = readings_of(readings);
    return electrical_preview(pack, input).diagnosis;
  }
};

std::vector<std::string> words(const Diagnosis& diagnosis) {
  std::vector<std::string> all;
  for (const Explanation& one : diagnosis.explanations) all.push_back(words_of(one));
  return all;
}

// A meter across two modules that cancel each other shows what it shows across an open block.
TEST(Diagnosis, NothingAcrossABlockMayBeAModuleTheWrongWayRoundOrAnOpenBlock) {
  Case c;
  const Diagnosis diagnosis = c.of({15.71, 0.01, 15.71, 15.69});
  EXPECT_THAT(words(diagnosis),
              testing::UnorderedElementsAre(
                  "one of the modules in slots 3 and 4 stands the wrong way round",
                  "block 2 is open: a module is missing or a connection is loose (slots 3 and 4)"));
}

TEST(Diagnosis, ACellTooFewIsAShortedCellInEitherModule) {
  Case c;
  EXPECT_THAT(words(c.of({15.71, 15.69, 15.71 - 1.31, 15.69})),
              ElementsAre("1 cell of one of the modules in slots 5 and 6 is shorted"));
  EXPECT_THAT(words(c.of({15.71, 15.69, 15.71 - 2.62, 15.69})),
              ElementsAre("2 cells of one of the modules in slots 5 and 6 are shorted"));
}

TEST(Diagnosis, NoSteadyReadingIsAnOpenBlockAndNothingElse) {
  Case c;
  c.input.readings = readings_of({15.71, 15.69, 15.71, 15.69});
  c.input.readings[3] = {std::nullopt, true};
  const Preview preview = electrical_preview(c.pack, c.input);
  EXPECT_EQ(preview.outcome, Outcome::fix);
  EXPECT_THAT(words(preview.diagnosis), ElementsAre(HasSubstr("block 4 is open")));
}

// Two modules of other voltage: both blocks off, oppositely, by the same amount.
TEST(Diagnosis, ASwapShowsInTwoBlocksOppositelyWhereItsModulesDiffer) {
  Pack pack = plan_pack(8, 2);
  ElectricalInput input = row_of({7.85, 7.86, 7.05, 7.04, 7.86, 7.85, 7.84, 7.85}, 0.002);
  input.readings = readings_of({15.71 - 0.81, 14.09 + 0.81, 15.71, 15.69});
  const Diagnosis diagnosis = electrical_preview(pack, input).diagnosis;
  ASSERT_THAT(words(diagnosis),
              ElementsAre("a module of block 1 and one of block 2 are swapped (slot 1 with 3, 1 "
                          "with 4, 2 with 3 or 2 with 4)"));
  EXPECT_EQ(diagnosis.explanations[0].candidates.size(), 4u);
}

TEST(Diagnosis, ASwapThatANumberReadWithTrustContradictsComesLast) {
  Pack pack = plan_pack(8, 2);
  ElectricalInput input = row_of({7.85, 7.86, 7.05, 7.04, 7.86, 7.85, 7.84, 7.85}, 0.002);
  input.readings = readings_of({15.71 - 0.81, 14.09 + 0.81, 15.71, 15.69});
  input.signs_seen = true;
  input.stacked[0] = seen(WayRound::as_planned, 1);
  const Diagnosis diagnosis = electrical_preview(pack, input).diagnosis;
  EXPECT_THAT(words(diagnosis),
              ElementsAre("a module of block 1 and one of block 2 are swapped (slot 2 with 3 or 2 "
                          "with 4)",
                          "a module of block 1 and one of block 2 are swapped (slot 1 with 3 or 1 "
                          "with 4)"));
  EXPECT_FALSE(diagnosis.explanations[0].against_signs);
  EXPECT_TRUE(diagnosis.explanations[1].against_signs);
}

// Modules of like voltage can stand in each other's place and no meter tells.
TEST(Diagnosis, ASwapOfLikeModulesIsNotSeen) {
  Case c;
  EXPECT_EQ(c.of({15.71, 15.69, 15.71, 15.69}).state, DiagnosisState::all_within);
}

TEST(Diagnosis, ABlockThatReadsItsNegativeHasBothModulesWrongOrTheLeads) {
  Case c;
  c.input.readings = readings_of({15.71, -15.69, 15.71, 15.69});
  const Preview preview = electrical_preview(c.pack, c.input);
  EXPECT_THAT(words(preview.diagnosis),
              ElementsAre("the module in slot 3 stands the wrong way round and the module in slot "
                          "4 stands the wrong way round"));
  EXPECT_THAT(preview.advice.at(0).action, HasSubstr("red lead"));
}

TEST(Diagnosis, WhatThePhotosContradictComesLastAndIsStillNamed) {
  Case c;
  c.input.signs_seen = true;  // all as planned
  Diagnosis diagnosis = c.of({15.71, 0.01, 15.71, 15.69});
  ASSERT_EQ(diagnosis.explanations.size(), 2u);
  EXPECT_EQ(diagnosis.explanations[0].faults[0].kind, FaultKind::open);
  EXPECT_FALSE(diagnosis.explanations[0].against_signs);
  EXPECT_TRUE(diagnosis.explanations[1].against_signs);
  // Seen the wrong way round: now that is what comes first, the other module does not fit.
  c.input.stacked[2] = seen(WayRound::wrong);
  diagnosis = c.of({15.71, 0.01, 15.71, 15.69});
  ASSERT_EQ(diagnosis.explanations.size(), 3u);
  EXPECT_EQ(words_of(diagnosis.explanations[0]), "the module in slot 3 stands the wrong way round");
  EXPECT_FALSE(diagnosis.explanations[0].against_signs);
  EXPECT_TRUE(diagnosis.explanations[1].against_signs);
  EXPECT_TRUE(diagnosis.explanations[2].against_signs);
  // Not known: neither is contradicted.
  c.input.stacked[2] = c.input.stacked[3] = seen(WayRound::not_known);
  for (const Explanation& one : c.of({15.71, 0.01, 15.71, 15.69}).explanations)
    EXPECT_FALSE(one.against_signs);
}

TEST(Diagnosis, MoreThanTwoFaultsAreLookedAtBlockByBlock) {
  Case c;
  Diagnosis diagnosis = c.of({0.01, -0.01, 15.71 - 1.31, 15.69});
  EXPECT_EQ(diagnosis.state, DiagnosisState::explained_by_block);
  ASSERT_EQ(diagnosis.explanations.size(), 5u);
  EXPECT_EQ(diagnosis.explanations[0].faults[0].block, 1);
  EXPECT_EQ(diagnosis.explanations[4].faults[0].block, 3);
  EXPECT_TRUE(diagnosis.unexplained_blocks.empty());
  // More than charged cells give is none of these faults.
  diagnosis = c.of({0.01, -0.01, 15.71 - 1.31, 19.0});
  EXPECT_EQ(diagnosis.state, DiagnosisState::explained_by_block);
  EXPECT_THAT(diagnosis.unexplained_blocks, ElementsAre(4));
  EXPECT_EQ(c.of({15.71, 15.69, 15.71, 19.0}).state, DiagnosisState::not_explained);
}

// Three seen the wrong way round: more than two faults, and yet they account for everything.
TEST(Diagnosis, WhatThePhotosShowIsTriedAsAWhole) {
  Case c;
  c.input.signs_seen = true;
  for (const std::size_t i : {0u, 2u, 4u}) c.input.stacked[i] = seen(WayRound::wrong);
  const Diagnosis diagnosis = c.of({0.01, 0.01, -0.01, 15.69});
  EXPECT_EQ(diagnosis.state, DiagnosisState::explained);
  ASSERT_EQ(diagnosis.explanations.size(), 1u);
  EXPECT_EQ(diagnosis.explanations[0].faults.size(), 3u);
  EXPECT_FALSE(diagnosis.explanations[0].against_signs);
}

TEST(Diagnosis, AMeterThatDoesNotBearOutThePhotosIsToldOf) {
  Case c;
  c.input.signs_seen = true;
  c.input.stacked[0] = seen(WayRound::wrong);
  c.input.readings = readings_of({15.71, 15.69, 15.71, 15.69});
  const Preview preview = electrical_preview(c.pack, c.input);
  EXPECT_EQ(preview.diagnosis.state, DiagnosisState::all_within);
  EXPECT_TRUE(std::any_of(preview.advice.begin(), preview.advice.end(), [](const Advice& advice) {
    return advice.message.find("the meter does not") != std::string::npos;
  }));
}

TEST(Diagnosis, ABlockThatWasNotMeasuredLeavesTheOutcomeOpen) {
  Case c;
  c.input.readings = readings_of({15.71, 15.69, 15.71, 15.69});
  EXPECT_EQ(electrical_preview(c.pack, c.input).outcome, Outcome::as_intended);
  c.input.readings[1] = {};
  EXPECT_EQ(electrical_preview(c.pack, c.input).outcome, Outcome::not_known);
}

// Nominal voltages are not known to better than nominal to charged: less can be told, and it is.
TEST(Diagnosis, WithoutATestSheetMoreFits) {
  Case c;
  for (ModuleVolts& module : c.input.modules) module = {7.2, {7.2, 8.4}, false, "", {}};
  EXPECT_EQ(c.of({15.71, 14.45, 15.71, 15.69}).state, DiagnosisState::all_within);
  const Diagnosis diagnosis = c.of({15.71, 13.5, 15.71, 15.69});
  ASSERT_EQ(diagnosis.explanations.size(), 2u);
  std::set<int> cells;
  for (const Explanation& one : diagnosis.explanations) cells.insert(one.faults[0].cells);
  EXPECT_EQ(cells, (std::set<int>{1, 2}));
}

}  // namespace
}  // namespace plumbstack
