// Advice: which modules to lift, where they go, which to turn, and when the numbers are what is
// wrong.
#include <gmock/gmock.h>

#include <random>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::at;
using test::carried_out;
using test::Stack;
using test::with_code;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

Judgement judged(const Stack& stack) {
  const Pack pack = test::four_sides(static_cast<int>(stack.size()));
  return judge(pack, test::photos_of(pack, stack));
}

std::string action_of(const Judgement& judgement, const std::string& code) {
  const auto found = with_code(judgement, code);
  return found.empty() ? "none" : found[0].action;
}

std::vector<std::string> texts(const Judgement& judgement) {
  std::vector<std::string> all;
  for (const RepairStep& step : judgement.repair) all.push_back(step.text);
  return all;
}

// One module taken out and put in elsewhere, the rest pushed along.
Stack moved(int modules, int from, int to, bool turned_by_hand) {
  Stack stack = test::right_stack(modules);
  test::Module module = stack[static_cast<std::size_t>(from - 1)];
  module.turned = turned_by_hand;
  stack.erase(stack.begin() + from - 1);
  stack.insert(stack.begin() + to - 1, module);
  return stack;
}

TEST(Repair, OneModuleMovedIsOneLift) {
  const Stack stack = moved(34, 12, 3, false);
  const Judgement judgement = judged(stack);
  EXPECT_THAT(texts(judgement),
              ElementsAre("lift the module in slot 3 and put it in slot 12, the same way round"));
  EXPECT_EQ(carried_out(stack, judgement.repair), test::right_stack(34));
  EXPECT_EQ(action_of(judgement, "number.order"), judgement.repair[0].text);
  // The pushed modules stand the wrong way round now and right after the one lift: none is turned.
  EXPECT_EQ(action_of(judgement, "vent.repeat"),
            "before any bus bar goes on: " + judgement.repair[0].text);
}

TEST(Repair, MovedAndTurnedIsTurnedBack) {
  const Stack stack = moved(34, 12, 3, true);
  EXPECT_THAT(texts(judged(stack)),
              ElementsAre(HasSubstr("slot 3 and put it in slot 12, turned end for end")));
}

TEST(Repair, SwappedNeighboursThatWereTurnedToFit) {
  Stack stack = test::right_stack(10);
  std::swap(stack[6], stack[7]);
  stack[6].turned = stack[7].turned = true;  // so vents and signs are right
  const Judgement judgement = judged(stack);
  EXPECT_THAT(with_code(judgement, "vent.repeat"), IsEmpty());
  EXPECT_EQ(action_of(judgement, "number.order"),
            "swap the modules in slots 7 and 8, each turned end for end");
  EXPECT_THAT(judgement.repair, SizeIs(2));
  EXPECT_THAT(judgement.repair[0].text, HasSubstr("an odd number of slots needs a turn"));
  EXPECT_EQ(carried_out(stack, judgement.repair), test::right_stack(10));
}

TEST(Repair, SwappedNeighboursThatWereNotTurned) {
  Stack stack = test::right_stack(10);
  std::swap(stack[6], stack[7]);
  const Judgement judgement = judged(stack);
  EXPECT_EQ(action_of(judgement, "number.order"),
            "swap the modules in slots 7 and 8, the same way round");
  EXPECT_THAT(judgement.repair, SizeIs(1));  // lift one, push the other
}

TEST(Repair, SwapWithOneTurned) {
  Stack stack = test::right_stack(10);
  std::swap(stack[6], stack[8]);
  stack[8].turned = true;
  EXPECT_EQ(action_of(judged(stack), "number.order"),
            "swap the modules in slots 7 and 9, the one from slot 9 turned end for end");
}

TEST(Repair, OnlyTurned) {
  Stack stack = test::right_stack(10);
  stack[1].turned = stack[4].turned = stack[5].turned = true;
  const Judgement judgement = judged(stack);
  EXPECT_THAT(judgement.repair, SizeIs(3));
  for (const RepairStep& step : judgement.repair) {
    EXPECT_EQ(step.from_slot, step.to_slot);
    EXPECT_TRUE(step.turn);
  }
  EXPECT_EQ(action_of(judgement, "vent.repeat"),
            "before any bus bar goes on: turn the modules in slots 2, 5 and 6 end for end");
  EXPECT_EQ(action_of(judgement, "number.end"), "turn the modules in slots 2, 5 and 6 end for end");
}

TEST(Repair, ATurnSomewhereElseIsToldBesideTheSwap) {
  Stack stack = test::right_stack(10);
  std::swap(stack[1], stack[2]);
  stack[7].turned = true;
  EXPECT_EQ(action_of(judged(stack), "vent.repeat"),
            "before any bus bar goes on: swap the modules in slots 2 and 3, the same way round; "
            "turn the module in slot 8 end for end");
}

// Numbers changed among modules that stand right in every way.
Judgement renumbered(std::vector<std::pair<int, int>> swaps, int turned_slot = 0) {
  const Pack pack = test::four_sides(10);
  Stack stack = test::right_stack(10);
  if (turned_slot > 0) stack[static_cast<std::size_t>(turned_slot - 1)].turned = true;
  auto photos = test::photos_of(pack, stack);
  for (const auto& [a, b] : swaps) std::swap(at(photos[0], a).number, at(photos[0], b).number);
  return judge(pack, photos);
}

TEST(Renumber, OddDistanceCannotComeFromMoving) {
  const Judgement judgement = renumbered({{7, 8}});
  EXPECT_THAT(judgement.repair, IsEmpty());
  EXPECT_EQ(action_of(judgement, "number.order"),
            "compare the serials of slots 7 and 8 with the plan and renumber: all marks stand the "
            "right way round, so moving alone did not cause this");
  EXPECT_EQ(judgement.verdict, Verdict::fix);
}

TEST(Renumber, EvenDistanceMayComeFromEither) {
  const Judgement judgement = renumbered({{7, 9}});
  EXPECT_THAT(judgement.repair, IsEmpty());
  const std::string action = action_of(judgement, "number.order");
  EXPECT_THAT(action, HasSubstr("compare the serials of slots 7 and 9 with the plan; renumber"));
  EXPECT_THAT(action, HasSubstr("move it to its own, the same way round"));
}

TEST(Renumber, IsNotUpsetByATurnElsewhere) {
  const Judgement judgement = renumbered({{7, 8}}, 2);
  EXPECT_THAT(texts(judgement), ElementsAre("turn the module in slot 2 end for end"));
  EXPECT_THAT(action_of(judgement, "number.order"), HasSubstr("renumber"));
}

TEST(Renumber, NeedsVentsOrSignsToSaySo) {
  Pack pack = test::four_sides(10);
  Stack stack = test::right_stack(10);
  std::swap(stack[6], stack[7]);
  // The number side alone can't tell a wrong number from a module moved without a turn.
  const Judgement judgement = judge(pack, {test::photo_of(pack, "number", stack)});
  const std::string action = action_of(judgement, "number.order");
  EXPECT_THAT(action, HasSubstr("swap the modules in slots 7 and 8, the same way round if their "
                                "vents and signs stand wrong now"));
  EXPECT_THAT(action, HasSubstr("compare the serials first and renumber"));
  ASSERT_THAT(judgement.repair, SizeIs(1));
  EXPECT_FALSE(judgement.repair[0].turn);
  EXPECT_THAT(judgement.repair[0].text, HasSubstr("turned if its vent and sign stand right now"));
}

TEST(Repair, NothingIsMovedUntilEveryNumberIsKnownOnce) {
  const Pack pack = test::four_sides(10);
  Stack stack = test::right_stack(10);
  std::swap(stack[1], stack[2]);
  stack[8].turned = true;
  for (const char* third : {"unsure", "double", "stranger"}) {
    auto photos = test::photos_of(pack, stack);
    if (third == std::string("unsure")) at(photos[0], 5).number.confidence = 0.5;
    if (third == std::string("double")) at(photos[0], 5).number.text = "6";
    if (third == std::string("stranger")) at(photos[0], 5).number.text = "66";
    const Judgement judgement = judge(pack, photos);
    // Slots 2 and 3 hold each other's modules and are not turned in place; slot 9 may be.
    EXPECT_THAT(texts(judgement), ElementsAre("turn the module in slot 9 end for end")) << third;
    EXPECT_THAT(action_of(judgement, "number.order"), HasSubstr("settle the unread")) << third;
    EXPECT_THAT(action_of(judgement, "vent.repeat"), HasSubstr("slots 2 and 3")) << third;
  }
}

TEST(Repair, AnotherSideMayReadTheNumberThatOneCannot) {
  Pack pack = test::four_sides(10);
  pack.sides.push_back(test::numbers_side("back"));
  Stack stack = moved(10, 2, 9, false);
  auto photos = test::photos_of(pack, stack);
  at(photos[0], 4).number.confidence = 0.5;
  EXPECT_EQ(carried_out(stack, judge(pack, photos).repair), test::right_stack(10));
  at(photos[4], 4).number.confidence = 0.5;
  EXPECT_THAT(judge(pack, photos).repair, IsEmpty());
}

TEST(Repair, WrongWritingOnAModuleThatStandsRight) {
  const Pack pack = test::four_sides(10);
  auto photos = test::photos_of(pack, test::right_stack(10));
  at(photos[0], 4).number.rotation_deg = 0, at(photos[0], 4).number.end = End::left;
  const Judgement judgement = judge(pack, photos);
  EXPECT_THAT(judgement.repair, IsEmpty());  // vent and signs: it is not turned
  EXPECT_EQ(action_of(judgement, "number.rotation"),
            "compare the serial with the plan and write the number anew on slot 4");
}

TEST(Repair, LongAdviceNamesTheRest) {
  Stack stack = test::right_stack(34);
  std::reverse(stack.begin(), stack.end());
  EXPECT_THAT(action_of(judged(stack), "number.order"), HasSubstr("and 12 more, see the list"));
}

// Random stacks of 34: what the advice leads to is right, and no more is lifted than must be. The
// most that can stay is found by the plain quadratic recurrence.
std::size_t most_that_stay(const Stack& stack) {
  std::vector<std::size_t> best(stack.size(), 0);
  std::size_t most = 0;
  for (std::size_t i = 0; i < stack.size(); ++i) {
    if (stack[i].turned) continue;
    best[i] = 1;
    for (std::size_t j = 0; j < i; ++j)
      if (!stack[j].turned && stack[j].number < stack[i].number)
        best[i] = std::max(best[i], best[j] + 1);
    most = std::max(most, best[i]);
  }
  return most;
}

// Fixed on every platform, which std::shuffle is not.
int below(std::mt19937& random, int n) {
  return static_cast<int>(random() % static_cast<unsigned>(n));
}

Stack random_stack(std::mt19937& random, int modules) {
  Stack stack = test::right_stack(modules);
  const int swaps = below(random, 20), turns = below(random, 8);
  for (int i = 0; i < swaps; ++i)
    std::swap(stack[static_cast<std::size_t>(below(random, modules))],
              stack[static_cast<std::size_t>(below(random, modules))]);
  for (int i = 0; i < turns; ++i)
    stack[static_cast<std::size_t>(below(random, modules))].turned = true;
  stack[static_cast<std::size_t>(below(random, modules))].turned = true;
  return stack;
}

TEST(Repair, RandomLongStacks) {
  std::mt19937 random(20240);
  for (int i = 0; i < 2000; ++i) {
    const Stack stack = random_stack(random, 34), start = test::renumbered(stack);
    const Judgement judgement = judged(stack);
    EXPECT_EQ(judgement.verdict, Verdict::fix);
    EXPECT_THAT(with_code(judgement, "sides.disagree"), IsEmpty());
    EXPECT_TRUE(carried_out(start, judgement.repair) == test::right_stack(34)) << "stack " << i;
    EXPECT_EQ(judgement.repair.size(), stack.size() - most_that_stay(start)) << "stack " << i;
  }
}

TEST(LongestIncreasing, RandomValuesAgainstTheQuadraticRecurrence) {
  std::mt19937 random(7);
  for (int i = 0; i < 3000; ++i) {
    Stack stack(static_cast<std::size_t>(below(random, 60)));
    std::vector<int> values;
    for (auto& module : stack) values.push_back(module.number = below(random, 40) - 20);
    const auto kept = longest_increasing_subsequence(values);
    EXPECT_EQ(kept.size(), most_that_stay(stack));
    for (std::size_t k = 1; k < kept.size(); ++k) {
      EXPECT_LT(kept[k - 1], kept[k]);
      EXPECT_LT(values[kept[k - 1]], values[kept[k]]);
    }
  }
}

}  // namespace
}  // namespace plumbstack
