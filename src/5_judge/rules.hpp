// What the judge's parts share: the slot's expectations, and which marks count as known.
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
};

End expected_vent(const VentRule& rule, int slot);
Sign expected_sign(const SignRule& rule, int slot);

bool known(const NumberMark& mark, const TrustBar& bar);
bool known(const VentMark& mark, const TrustBar& bar);
bool known(const SignMark& mark, const TrustBar& bar);

/// Whether the slot's module stands the wrong way round, by each trusted mark of this side.
/// nullopt = nothing trusted tells.
std::optional<bool> turned_by_vent(const SideCase& c, int slot);
std::optional<bool> turned_by_sign(const SideCase& c, int slot);
std::optional<bool> turned_by_number(const SideCase& c, int slot);
/// Any of the above; the vent and sign first, since a number may have been written wrongly.
std::optional<bool> turned(const SideCase& c, int slot);

/// The trusted number of a slot as an integer; nullopt where untrusted or not a number.
std::optional<int> trusted_number(const SideCase& c, int slot);

std::string slots_text(
    const std::vector<int>& slots);  // "slot 7", "slots 7 and 9", "slots 3, 7 and 9"

std::vector<Finding> number_findings(const SideCase& c);
std::vector<Finding> way_round_findings(const SideCase& c);  // vent.repeat, sign.repeat, *.unsure
std::vector<Finding> place_findings(const SideCase& c);      // stagger, gap
std::vector<Finding> side_findings(
    const SideCase& c);  // all of the above, count, direction, unseen
std::vector<Finding> compare_sides(const std::vector<SideCase>& cases);

/// Fewest moves to order, each with its turn; empty where the advice is to renumber instead or the
/// numbers are not all known.
std::vector<RepairStep> repair_steps(const std::vector<SideCase>& cases);
/// All numbers known and every module the right way round: only the numbers are out of order.
bool only_order_is_wrong(const SideCase& c);

}  // namespace plumbstack
