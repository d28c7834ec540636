// The net below the findings, by itself: whatever is not right on a slot keeps that slot from
// proving itself, also if no finding were made of it.
#include <gmock/gmock.h>

#include <cmath>
#include <functional>

#include "judge_stacks.hpp"
#include "rules.hpp"

namespace plumbstack {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

struct Earned : testing::Test {
  Pack pack = test::one_side(6);
  TrustBar bar;
  std::vector<int> unproven_with(const std::function<void(SlotMarks&)>& change) const {
    SideEvidence photo = test::photo_of(pack, "top", test::right_stack(6));
    change(test::at(photo, 3));
    return unproven_slots({pack, pack.sides[0], photo, bar});
  }
};

TEST_F(Earned, RightSlotsProveThemselves) {
  EXPECT_THAT(unproven_with([](SlotMarks&) {}), IsEmpty());
  EXPECT_THAT(unproven_with([](SlotMarks& s) { s.vent.end.reset(); }), IsEmpty());
  EXPECT_THAT(unproven_with([](SlotMarks& s) { s.sign.confidence = 0; }), IsEmpty());
  EXPECT_THAT(unproven_with([](SlotMarks& s) { s.number.end.reset(); }), IsEmpty());
  EXPECT_THAT(unproven_with([](SlotMarks& s) { s.number.text = "003"; }), IsEmpty());
}

TEST_F(Earned, WhateverIsNotRightHoldsTheSlot) {
  const std::vector<std::function<void(SlotMarks&)>> changes{
      [](SlotMarks& s) { s.seen = false; },
      [](SlotMarks& s) { s.number.text.reset(); },
      [](SlotMarks& s) { s.number.text = ""; },
      [](SlotMarks& s) { s.number.text = "0"; },
      [](SlotMarks& s) { s.number.text = "33"; },
      [](SlotMarks& s) { s.number.text = "3 "; },
      [](SlotMarks& s) { s.number.confidence = 0.9499; },
      [](SlotMarks& s) { s.number.rotation_deg = 0; },
      [](SlotMarks& s) { s.number.end = End::left; },
      [](SlotMarks& s) { s.number.text = "4", s.number.confidence = 0.96; },
      [](SlotMarks& s) { s.vent.end = End::right; },
      [](SlotMarks& s) { s.sign.sign = Sign::minus, s.sign.confidence = 0.991; },
      [](SlotMarks& s) { s.sign.sign = Sign::minus; },
      [](SlotMarks& s) { s.vent.confidence = s.sign.confidence = 0.97; },
      [](SlotMarks& s) { s.vent.end = End::right, s.sign.confidence = 0; },
      [](SlotMarks& s) { s.stagger_mm = 1.01; },
      [](SlotMarks& s) { s.stagger_mm = -1.01; },
      [](SlotMarks& s) { s.stagger_mm = std::nan(""); },
      [](SlotMarks& s) { s.stagger_mm.reset(); },
      [](SlotMarks& s) { s.stagger_sd_mm = 0.51; },
      [](SlotMarks& s) { s.gap_mm = 2.6; },
      [](SlotMarks& s) { s.gap_mm.reset(); }};
  for (std::size_t i = 0; i < changes.size(); ++i)
    EXPECT_THAT(unproven_with(changes[i]), ElementsAre(3)) << "change " << i;
}

}  // namespace
}  // namespace plumbstack
