// What the judge's parts share.
//
// Two questions are kept apart, because moving a module by an odd number of slots tells them apart:
//   wrong way round   the vent or sign is not what the pack names for the slot it is in now
//   turned            the module is end for end against how it stood when it was numbered; its
//                     number is then at the mirrored place and upside down, in whatever slot
// A module that sits an odd number of slots from its own is wrong way round just when it is not
// turned.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/judge.hpp"

namespace plumbstack {

/// One side under judgement: what the pack says of it beside what was seen.
struct SideCase {
  const Pack& pack;
  const Side& side;
  const SideEvidence& evidence;
  const TrustBar& bar;

  const SlotMarks& at(int slot) const {
    return evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  }
  /// The count fits, the direction is known, and there are marks for every slot.
  bool slots_can_be_named() const;
};

End expected_vent(const VentRule& rule, int slot);
Sign expected_sign(const SignRule& rule, int slot);

bool known(const NumberMark& mark, const TrustBar& bar);
bool known(const VentMark& mark, const TrustBar& bar);
bool known(const SignMark& mark, const TrustBar& bar);

/// A known mark that says the slot is wrong, but not surely enough to call it a fault.
bool doubtful_number(const SideCase& c, int slot);
bool doubtful_sign(const SideCase& c, int slot);

/// Each by one trusted mark of this side; nullopt = the mark is not trusted, is
/// doubtful or does not tell.
std::optional<bool> wrong_by_vent(const SideCase& c, int slot);
std::optional<bool> wrong_by_sign(const SideCase& c, int slot);
std::optional<bool> turned_by_number(const SideCase& c, int slot);

/// The trusted number of a slot as an integer; nullopt where untrusted or not a number.
std::optional<int> trusted_number(const SideCase& c, int slot);
/// The slot where that number belongs; outside 1..N where it is foreign.
std::optional<int> home_slot(const SideCase& c, int slot);

std::string modules_text(const std::vector<int>& slots);  // "the module in slot 7", ...

/// What to do about the whole stack, from the evidence of all sides together.
struct RepairPlan {
  struct Slot {
    int home = 0;                // where its module goes; 0 = can't be told
    std::optional<bool> turn;    // its module has to be turned end for end; nullopt = unknown
    bool contradictory = false;  // vents and signs say both
    bool renumber = false;       // out of order, but the right way round by every mark
  };
  std::vector<Slot> slots;        // slot 1 first; empty where no side can be used
  std::vector<RepairStep> steps;  // by from_slot, ascending
};
RepairPlan plan_repair(const std::vector<SideCase>& cases);

/// The part of the plan that puts these slots right, in words.
/// @param otherwise said of the slots that the plan can do nothing about, before their names
std::string advice(const RepairPlan& plan, const std::vector<int>& slots,
                   const std::string& otherwise);

std::vector<Finding> number_findings(const SideCase& c, const RepairPlan& plan);
std::vector<Finding> way_round_findings(const SideCase& c, const RepairPlan& plan);
std::vector<Finding> place_findings(const SideCase& c);  // stagger, gap
/// All of the above, and count, direction and unseen slots.
std::vector<Finding> side_findings(const SideCase& c, const RepairPlan& plan);
std::vector<Finding> compare_sides(const std::vector<SideCase>& cases);
/// By the photos themselves, whatever they show.
std::vector<Finding> compare_shots(const std::vector<SideEvidence>& sides);

/// Slots that do not prove themselves right. Shares no code with the findings, so that a fault
/// there can't make a pass here.
std::vector<int> unproven_slots(const SideCase& c);

}  // namespace plumbstack
