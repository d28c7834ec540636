// The judge against a naive second opinion, on every stack of up to five modules: all orders by all
// turns, seen on one side with numbers, vents and signs. And one test for each way of being unsure.
#include "plumbstack/judge.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>
#include <set>

namespace plumbstack {
namespace {

Pack pack_of(int modules) {
  Pack pack;
  pack.modules = modules;
  pack.module_mm = {285, 118, 19.6, 19.6};
  pack.stagger_limit_mm = 1;
  pack.seat_gap_limit_mm = 2.5;
  Side side;
  side.name = "top";
  side.strip_mm = 285;
  side.number = NumberRule{1, End::right, 180};
  side.vent = VentRule{End::left};
  side.sign = SignRule{Sign::plus, End::left, {}};
  pack.sides = {side};
  pack.required_sides = {"top"};
  return pack;
}

// Slot k shows module numbers[k], turned or not.
SideEvidence seen(const std::vector<int>& numbers, const std::vector<bool>& turned) {
  SideEvidence evidence;
  evidence.side = "top";
  evidence.stack_found = true;
  evidence.modules_counted = static_cast<int>(numbers.size());
  evidence.slot_1_at = Edge::top;
  for (std::size_t k = 0; k < numbers.size(); ++k) {
    SlotMarks slot;
    slot.seen = true;
    slot.number.text = std::to_string(numbers[k]);
    slot.number.confidence = slot.vent.confidence = slot.sign.confidence = 1;
    slot.number.rotation_deg = turned[k] ? 0 : 180;
    slot.number.end = turned[k] ? End::left : End::right;
    const bool flipped = (k % 2 == 1) != turned[k];
    slot.vent.end = flipped ? End::right : End::left;
    slot.sign.sign = flipped ? Sign::minus : Sign::plus;
    slot.stagger_mm = 0.1;
    slot.stagger_sd_mm = 0.1;
    evidence.marks.slots.push_back(slot);
  }
  return evidence;
}

SideEvidence good(int modules) {
  std::vector<int> numbers(static_cast<std::size_t>(modules));
  std::iota(numbers.begin(), numbers.end(), 1);
  return seen(numbers, std::vector<bool>(numbers.size(), false));
}

std::set<std::string> codes(const Judgement& judgement) {
  std::set<std::string> all;
  for (const Finding& f : judgement.findings) all.insert(f.code);
  return all;
}

// Fewest modules to lift: try every set that stays, largest first.
std::size_t fewest_moves(const std::vector<int>& numbers) {
  std::size_t most = 0;
  for (unsigned keep = 0; keep < 1u << numbers.size(); ++keep) {
    std::vector<int> kept;
    for (std::size_t i = 0; i < numbers.size(); ++i)
      if (keep >> i & 1) kept.push_back(numbers[i]);
    if (std::is_sorted(kept.begin(), kept.end())) most = std::max(most, kept.size());
  }
  return numbers.size() - most;
}

// Carry the advice out on the stack, then look whether all is right.
void expect_repaired(const std::vector<int>& numbers, const std::vector<bool>& turned,
                     const std::vector<RepairStep>& steps) {
  std::vector<int> to(numbers.size());
  std::vector<bool> turn(numbers.size(), false), now(numbers.size());
  for (std::size_t k = 0; k < numbers.size(); ++k) to[k] = numbers[k] - 1;
  for (const RepairStep& s : steps) {
    EXPECT_EQ(to[static_cast<std::size_t>(s.from_slot - 1)], s.to_slot - 1);
    turn[static_cast<std::size_t>(s.from_slot - 1)] = s.turn;
  }
  for (std::size_t k = 0; k < numbers.size(); ++k) {
    const bool stands = (k % 2 == 1) != turned[k];  // flipped as it stands
    const bool after = stands != turn[k];
    EXPECT_EQ(after, to[k] % 2 == 1) << "module now in slot " << k + 1;
  }
}

TEST(Judge, EveryStackUpToFiveModules) {
  int cases = 0, passed = 0;
  for (int n = 2; n <= 5; ++n) {
    std::vector<int> numbers(static_cast<std::size_t>(n));
    std::iota(numbers.begin(), numbers.end(), 1);
    do {
      for (unsigned bits = 0; bits < 1u << n; ++bits) {
        std::vector<bool> turned;
        for (int k = 0; k < n; ++k) turned.push_back(bits >> k & 1);
        const Judgement judgement = judge(pack_of(n), {seen(numbers, turned)});
        const bool in_order = std::is_sorted(numbers.begin(), numbers.end());
        EXPECT_EQ(judgement.verdict == Verdict::pass, in_order && bits == 0);
        EXPECT_EQ(judgement.verdict == Verdict::fix, !(in_order && bits == 0));
        EXPECT_EQ(codes(judgement).contains("number.order"), !in_order);
        EXPECT_EQ(codes(judgement).contains("vent.repeat"), bits != 0);
        EXPECT_EQ(codes(judgement).contains("sign.repeat"), bits != 0);
        const auto moved =
            std::count_if(judgement.repair.begin(), judgement.repair.end(),
                          [](const RepairStep& s) { return s.text.starts_with("lift"); });
        if (bits != 0 || in_order) {
          expect_repaired(numbers, turned, judgement.repair);
          EXPECT_GE(static_cast<std::size_t>(moved), fewest_moves(numbers));
        } else {
          EXPECT_TRUE(judgement.repair.empty());  // only the order: compare serials and renumber
        }
        ++cases, passed += judgement.verdict == Verdict::pass;
      }
    } while (std::next_permutation(numbers.begin(), numbers.end()));
  }
  EXPECT_EQ(cases, 2 * 4 + 6 * 8 + 24 * 16 + 120 * 32);
  EXPECT_EQ(passed, 4);
}

TEST(Judge, UnsureIsNeverPass) {
  for (int kind = 0; kind < 7; ++kind) {
    SideEvidence evidence = good(4);
    SlotMarks& slot = evidence.marks.slots[2];
    if (kind == 0) slot.seen = false;
    if (kind == 1) slot.number.confidence = 0.9;
    if (kind == 2) slot.vent.confidence = slot.sign.confidence = 0.5;
    if (kind == 3) slot.stagger_mm.reset();
    if (kind == 4) slot.stagger_sd_mm = 0.8;
    if (kind == 5) evidence.slot_1_at.reset();
    if (kind == 6) evidence.stack_found = false;
    EXPECT_EQ(judge(pack_of(4), {evidence}).verdict, Verdict::retake) << kind;
  }
  EXPECT_EQ(judge(pack_of(4), {}).verdict, Verdict::retake);
  EXPECT_EQ(judge(pack_of(4), {good(4)}).verdict, Verdict::pass);
}

TEST(Judge, OneMarkCoveredIsSettledByTheOther) {
  SideEvidence evidence = good(4);
  evidence.marks.slots[1].vent.end.reset();
  const Judgement judgement = judge(pack_of(4), {evidence});
  EXPECT_EQ(judgement.verdict, Verdict::pass);
  EXPECT_TRUE(codes(judgement).contains("vent.unsure"));
}

TEST(Judge, EachFault) {
  const auto code_when = [](auto change) {
    SideEvidence evidence = good(6);
    Pack pack = pack_of(6);
    change(evidence, pack);
    return codes(judge(pack, {evidence}));
  };
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.text = "2";
              }).contains("number.duplicate"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.text = "77";
              }).contains("number.foreign"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.text.reset(), e.marks.slots[3].number.place_seen = true;
              }).contains("number.missing"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.text.reset();
              }).contains("number.unsure"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.end = End::left;
              }).contains("number.end"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].number.rotation_deg = 90;
              }).contains("number.rotation"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].stagger_mm = -1.4;
              }).contains("stagger.over"));
  EXPECT_TRUE(code_when([](auto& e, auto&) {
                e.marks.slots[3].stagger_mm = 0.9;
              }).contains("stagger.near"));
  EXPECT_TRUE(code_when([](auto& e, auto&) { e.marks.slots[3].gap_mm = 3; }).contains("seat.gap"));
  EXPECT_TRUE(code_when([](auto& e, auto& p) {
                p.modules = 7, e.modules_counted = 6, e.marks.slots.clear();
              }).contains("count.short"));
  EXPECT_TRUE(code_when([](auto& e, auto& p) {
                p.modules = 5, e.modules_counted = 6, e.marks.slots.clear();
              }).contains("count.long"));
  EXPECT_TRUE(code_when([](auto& e, auto& p) {
                p.slot_1_up = true, e.slot_1_at = Edge::bottom;
              }).contains("stack.reversed"));
}

TEST(Judge, SidesThatContradict) {
  Pack pack = pack_of(4);
  pack.sides.push_back(pack.sides[0]);
  pack.sides[1].name = "again";
  SideEvidence other_side = seen({1, 2, 3, 4}, {false, true, false, false});
  other_side.side = "again";
  const Judgement judgement = judge(pack, {good(4), other_side});
  EXPECT_TRUE(codes(judgement).contains("sides.disagree"));
  EXPECT_NE(judgement.verdict, Verdict::pass);
}

// Textbook sequences; fewest moves is n minus the length.
TEST(LongestIncreasing, Textbook) {
  EXPECT_EQ(
      longest_increasing_subsequence({0, 8, 4, 12, 2, 10, 6, 14, 1, 9, 5, 13, 3, 11, 7, 15}).size(),
      6u);
  EXPECT_EQ(longest_increasing_subsequence({10, 9, 2, 5, 3, 7, 101, 18}).size(), 4u);
  EXPECT_TRUE(longest_increasing_subsequence({}).empty());
}

}  // namespace
}  // namespace plumbstack
