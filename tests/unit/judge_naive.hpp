// A second judge, written naively and on its own: what each slot must show is written out by hand,
// and nothing of the judge's own rules is used. For test::one_side of up to five modules.
#pragma once

#include <gtest/gtest.h>

#include <map>
#include <set>

#include "judge_stacks.hpp"

namespace plumbstack::test {

using Found = std::map<std::string, std::set<int>>;  // "code severity" -> slots

inline Found found_by(const Judgement& judgement) {
  Found found;
  for (const Finding& f : judgement.findings)
    found[f.code + " " + name_of(f.severity)].insert(f.slots.begin(), f.slots.end());
  return found;
}

// What slots 1 to 5 must show, written out.
inline const char* const kNumbers[] = {"1", "2", "3", "4", "5"};
inline const End kVents[] = {End::left, End::right, End::left, End::right, End::left};
inline const Sign kSigns[] = {Sign::plus, Sign::minus, Sign::plus, Sign::minus, Sign::plus};

inline void naive_number(const std::vector<SlotMarks>& slots, std::size_t i, Found& found) {
  const NumberMark& number = slots[i].number;
  const int slot = static_cast<int>(i) + 1;
  if (!number.text && number.place_seen) {
    found["number.missing fix"].insert(slot);
    return;
  }
  if (!number.text || number.confidence < 0.95) {
    found["number.unsure retake"].insert(slot);
    return;
  }
  const bool as_planned =
      *number.text == kNumbers[i] && number.end != End::left && number.rotation_deg == 180;
  if (!as_planned && number.confidence < 0.995) {
    found["number.doubtful retake"].insert(slot);
    return;
  }
  bool in_range = false;
  for (std::size_t k = 0; k < slots.size(); ++k) in_range |= *number.text == kNumbers[k];
  if (!in_range) found["number.foreign fix"].insert(slot);
  if (in_range && *number.text != kNumbers[i]) found["number.order fix"].insert(slot);
  for (std::size_t k = 0; k < slots.size(); ++k)
    if (k != i && slots[k].seen && slots[k].number.text == number.text &&
        slots[k].number.confidence >= (k + 1 == std::stoul(*number.text) ? 0.95 : 0.995))
      found["number.duplicate fix"].insert(slot);
  if (number.end == End::left) found["number.end fix"].insert(slot);
  if (number.rotation_deg != 180) found["number.rotation fix"].insert(slot);
}

inline void naive_way_round(const SlotMarks& marks, std::size_t i, Found& found) {
  const int slot = static_cast<int>(i) + 1;
  const bool vent = marks.vent.end && marks.vent.confidence >= 0.99,
             sign = marks.sign.sign && marks.sign.confidence >= 0.99;
  const bool vent_wrong = vent && *marks.vent.end != kVents[i],
             sign_wrong = sign && *marks.sign.sign != kSigns[i],
             sign_doubtful = sign_wrong && marks.sign.confidence < 0.998;
  if (vent_wrong) found["vent.repeat fix"].insert(slot);
  if (sign_wrong) found[sign_doubtful ? "sign.doubtful retake" : "sign.repeat fix"].insert(slot);
  if (!vent) found[sign && !sign_doubtful ? "vent.unsure note" : "vent.unsure retake"].insert(slot);
  if (!sign) found[vent ? "sign.unsure note" : "sign.unsure retake"].insert(slot);
}

// The limits of test::one_side: 1 mm of stagger, 2.5 mm of gap.
inline void naive_place(const std::vector<SlotMarks>& slots, std::size_t i, Found& found) {
  const int slot = static_cast<int>(i) + 1;
  const auto mm = slots[i].stagger_mm;
  const double sd = slots[i].stagger_sd_mm;
  if (mm && (*mm > 1 || *mm < -1))
    found["stagger.over fix"].insert(slot);
  else if (!mm || sd > 0.5)
    found["stagger.unsure retake"].insert(slot);
  else if (*mm > 1 - 2 * sd || *mm < -1 + 2 * sd)
    found["stagger.near note"].insert(slot);
  if (i + 1 == slots.size() || !slots[i + 1].seen) return;
  if (!slots[i].gap_mm)
    found["seat.unsure retake"].insert(slot);
  else if (*slots[i].gap_mm > 2.5)
    found["seat.gap fix"].insert({slot, slot + 1});
}

inline Found naive(const SideEvidence& photo) {
  const std::vector<SlotMarks>& slots = photo.marks.slots;
  Found found;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    if (!slots[i].seen) {
      found["photo.covered retake"].insert(static_cast<int>(i) + 1);
      continue;
    }
    naive_number(slots, i, found);
    naive_way_round(slots[i], i, found);
    naive_place(slots, i, found);
  }
  return found;
}

inline Verdict naive_verdict(const Found& found) {
  bool fix = false, retake = false;
  for (const auto& [what, slots] : found) {
    fix |= what.ends_with(" fix");
    retake |= what.ends_with(" retake");
  }
  return fix ? Verdict::fix : retake ? Verdict::retake : Verdict::pass;
}

// One comparison; returns the judgement, so that more may be asked of it.
inline Judgement compared(const Pack& pack, const SideEvidence& photo) {
  Judgement judgement = judge(pack, {photo});
  const Found wanted = naive(photo);
  EXPECT_EQ(found_by(judgement), wanted);
  EXPECT_EQ(judgement.verdict, naive_verdict(wanted));
  EXPECT_EQ(judgement.side_verdicts[0], judgement.verdict);
  return judgement;
}

}  // namespace plumbstack::test
