// The judge against the naive one on every state of evidence: each mark right, wrong, unsure or
// absent, the slot unseen, the stagger over, near, unknown or too unsure, the gap right, over or
// unknown. Covered and counted: every pair of slots, and every three of them with the stagger and
// the gap left right.
#include "judge_naive.hpp"
#include "rules.hpp"

namespace plumbstack {
namespace {

using test::compared;

// Every state of one slot's marks; only the first is right in all.
std::vector<SlotMarks> slot_states(const SlotMarks& right, bool with_places) {
  std::vector<SlotMarks> states;
  const std::vector<std::pair<std::optional<double>, double>> staggers{
      {0.1, 0.1}, {-0.95, 0.1}, {1.4, 0.1}, {std::nullopt, 0.1}, {0.1, 0.6}};
  for (int number = 0; number < 5; ++number)
    for (int vent = 0; vent < 3; ++vent)
      for (int sign = 0; sign < 3; ++sign)
        for (std::size_t place = 0; place < (with_places ? staggers.size() : 1); ++place) {
          SlotMarks s = right;
          if (number == 1) s.number.text = *right.number.text == "2" ? "1" : "2";
          if (number == 2) s.number.confidence = 0.9;
          if (number >= 3) s.number.text.reset(), s.number.place_seen = number == 4;
          if (vent == 1) s.vent.end = other(*right.vent.end);
          if (vent == 2) s.vent.confidence = 0.9;
          if (sign == 1) s.sign.sign = other(*right.sign.sign);
          if (sign == 2) s.sign.sign.reset();
          s.stagger_mm = staggers[place].first, s.stagger_sd_mm = staggers[place].second;
          states.push_back(s);
        }
  states.push_back(right);
  states.back().seen = false;
  return states;
}

// Whether a slot in this state may be part of a pass, said without the findings.
bool may_pass(const SlotMarks& s, const SlotMarks& right) {
  const bool vent = s.vent.end == right.vent.end, sign = s.sign.sign == right.sign.sign;
  const bool vent_unsure = s.vent.confidence < 0.99, sign_unsure = !s.sign.sign;
  return s.seen && s.number.text == right.number.text && s.number.confidence == 1 &&
         (vent || vent_unsure) && (sign || sign_unsure) && !(vent_unsure && sign_unsure) &&
         s.stagger_mm && *s.stagger_mm < 1 && s.stagger_sd_mm < 0.5;
}

TEST(Enumeration, EveryPairOfSlotStates) {
  const Pack pack = test::one_side(2);
  const SideEvidence right = test::photo_of(pack, "top", test::right_stack(2));
  const std::vector<SlotMarks>& good = right.marks.slots;
  const std::vector<SlotMarks> one = slot_states(good[0], true), two = slot_states(good[1], true);
  int cases = 0, passed = 0;
  for (const SlotMarks& a : one)
    for (const SlotMarks& b : two)
      for (const std::optional<double> gap : {std::optional(0.3), std::optional(3.0), {}}) {
        SideEvidence photo = right;
        photo.marks.slots = {a, b};
        photo.marks.slots[0].gap_mm = gap;
        const bool may = may_pass(a, good[0]) && may_pass(b, good[1]) && gap == 0.3;
        const Verdict verdict = compared(pack, photo).verdict;
        EXPECT_EQ(verdict == Verdict::pass, may);
        // The net below the findings holds by itself.
        EXPECT_EQ(unproven_slots({pack, pack.sides[0], photo, {}}).empty(), may);
        ++cases, passed += verdict == Verdict::pass;
      }
  EXPECT_EQ(cases, 226 * 226 * 3);
  EXPECT_EQ(passed, 6 * 6);  // vent, sign or both, each on the line or near its limit
}

TEST(Enumeration, EveryThreeSlotStates) {
  const Pack pack = test::one_side(3);
  const SideEvidence right = test::photo_of(pack, "top", test::right_stack(3));
  const std::vector<SlotMarks>& good = right.marks.slots;
  const std::vector<SlotMarks> one = slot_states(good[0], false), two = slot_states(good[1], false),
                               three = slot_states(good[2], false);
  int cases = 0, passed = 0;
  for (const SlotMarks& a : one)
    for (const SlotMarks& b : two)
      for (const SlotMarks& c : three) {
        SideEvidence photo = right;
        photo.marks.slots = {a, b, c};
        passed += compared(pack, photo).verdict == Verdict::pass;
        ++cases;
      }
  EXPECT_EQ(cases, 46 * 46 * 46);
  EXPECT_EQ(passed, 3 * 3 * 3);
}

}  // namespace
}  // namespace plumbstack
