// The judge against the naive one and a search over all moves, on every small stack. The space
// covered, each counted:
//   1 every stack of 1 to 5 modules, in all orders and with each module turned or not, photographed
//     on one side with all marks and on four sides
//   2 every stack of 1 to 4 modules with order, turn of the number and way round of vent and sign
//     set independently, so also what no stack of real modules can show
//   3 every row of 1 to 4 numbers out of 0 ... N + 1: doubles and strangers
// In each: findings with their severity and slots, and the verdict, which is pass just when
// everything is right; in 1 and 2 also the advice.
#include "judge_naive.hpp"

namespace plumbstack {
namespace {

using test::compared;
using test::found_by;
using test::renumbered;
using test::Stack;

std::vector<Stack> all_stacks(int modules) {
  std::vector<Stack> stacks;
  Stack order = test::right_stack(modules);
  const auto smaller = [](const test::Module& a, const test::Module& b) {
    return a.number < b.number;
  };
  do
    for (unsigned turns = 0; turns < 1u << modules; ++turns) {
      stacks.push_back(order);
      for (int i = 0; i < modules; ++i)
        stacks.back()[static_cast<std::size_t>(i)].turned = turns >> i & 1;
    }
  while (std::next_permutation(order.begin(), order.end(), smaller));
  return stacks;
}

std::string key(const Stack& stack) {
  std::string text;
  for (const test::Module& m : stack) text += std::to_string(m.number) + (m.turned ? "t" : ".");
  return text;
}

// Fewest lifts from every stack to the right one: breadth first from the right one, where a move
// takes one module out and puts it in anywhere, turned or not. Such moves can be undone by their
// like, so the distance is the same both ways.
std::map<std::string, std::size_t> fewest_lifts(int modules) {
  std::vector<Stack> queue{test::right_stack(modules)};
  std::map<std::string, std::size_t> lifts{{key(queue[0]), 0}};
  for (std::size_t head = 0; head < queue.size(); ++head)
    for (int from = 0; from < modules; ++from)
      for (int to = 0; to < modules; ++to)
        for (bool turn : {false, true}) {
          Stack next = queue[head];
          test::Module module = next[static_cast<std::size_t>(from)];
          module.turned = module.turned != turn;
          next.erase(next.begin() + from);
          next.insert(next.begin() + to, module);
          if (lifts.emplace(key(next), lifts[key(queue[head])] + 1).second) queue.push_back(next);
        }
  return lifts;
}

void expect_fewest(const Stack& stack, const Judgement& judgement,
                   const std::map<std::string, std::size_t>& lifts) {
  const Stack start = renumbered(stack);
  EXPECT_EQ(test::carried_out(start, judgement.repair),
            test::right_stack(static_cast<int>(stack.size())))
      << key(stack);
  EXPECT_EQ(judgement.repair.size(), lifts.at(key(start))) << key(stack);
}

TEST(Enumeration, EveryStackOfRealModules) {
  int stacks = 0, passed = 0, needed_renumbering = 0;
  for (int modules = 1; modules <= 5; ++modules) {
    const auto lifts = fewest_lifts(modules);
    const Pack one = test::one_side(modules), four = test::four_sides(modules);
    for (const Stack& stack : all_stacks(modules)) {
      const bool right = stack == test::right_stack(modules);
      const Judgement by_one = compared(one, test::photo_of(one, "top", stack));
      expect_fewest(stack, by_one, lifts);
      EXPECT_EQ(by_one.verdict == Verdict::pass, right);
      const Judgement by_four = judge(four, test::photos_of(four, stack));
      expect_fewest(stack, by_four, lifts);
      EXPECT_EQ(by_four.verdict, right ? Verdict::pass : Verdict::fix);
      EXPECT_FALSE(found_by(by_four).contains("sides.disagree retake")) << key(stack);
      ++stacks, passed += right, needed_renumbering += renumbered(stack) != stack;
    }
    EXPECT_EQ(lifts.size(), all_stacks(modules).size());  // every stack can be put right
  }
  EXPECT_EQ(stacks, 1 * 2 + 2 * 4 + 6 * 8 + 24 * 16 + 120 * 32);
  EXPECT_EQ(passed, 5);
  EXPECT_GT(needed_renumbering, 0);
}

TEST(Enumeration, NumberTurnAndWayRoundIndependently) {
  int cases = 0, passed = 0;
  for (int modules = 1; modules <= 4; ++modules) {
    const Pack pack = test::one_side(modules);
    for (const Stack& numbers : all_stacks(modules))
      for (unsigned wrong = 0; wrong < 1u << modules; ++wrong) {
        SideEvidence photo = test::photo_of(pack, "top", numbers);
        for (std::size_t i = 0; i < photo.marks.slots.size(); ++i) {
          SlotMarks& slot = photo.marks.slots[i];
          slot.vent.end = (wrong >> i & 1) ? other(test::kVents[i]) : test::kVents[i];
          slot.sign.sign = (wrong >> i & 1) ? other(test::kSigns[i]) : test::kSigns[i];
        }
        const Judgement judgement = compared(pack, photo);
        const bool right = numbers == test::right_stack(modules) && wrong == 0;
        EXPECT_EQ(judgement.verdict == Verdict::pass, right);
        // Vent and sign decide: after the step the module is right for where it goes.
        for (const RepairStep& step : judgement.repair) {
          const bool stands_wrong = wrong >> (step.from_slot - 1) & 1;
          EXPECT_EQ(step.turn, stands_wrong != ((step.to_slot - step.from_slot) % 2 != 0));
        }
        ++cases, passed += right;
      }
  }
  EXPECT_EQ(cases, 1 * 2 * 2 + 2 * 4 * 4 + 6 * 8 * 8 + 24 * 16 * 16);
  EXPECT_EQ(passed, 4);
}

TEST(Enumeration, DoublesAndStrangers) {
  int cases = 0;
  for (int modules = 1; modules <= 4; ++modules) {
    const Pack pack = test::one_side(modules);
    int rows = 1;
    for (int i = 0; i < modules; ++i) rows *= modules + 2;
    for (int row = 0; row < rows; ++row, ++cases) {
      SideEvidence photo = test::photo_of(pack, "top", test::right_stack(modules));
      int rest = row;
      for (SlotMarks& slot : photo.marks.slots) {
        slot.number.text = std::to_string(rest % (modules + 2));
        rest /= modules + 2;
      }
      compared(pack, photo);
    }
  }
  EXPECT_EQ(cases, 3 + 16 + 125 + 1296);
}

}  // namespace
}  // namespace plumbstack
