// Pass is earned: besides looking for faults, every slot must show each mark the side lists,
// trusted and as the pack names it. A slot that is neither right nor explained by a finding holds
// the pass.
#include <algorithm>

#include "rules.hpp"

namespace plumbstack {
namespace {

Verdict verdict_of(const std::vector<Finding>& findings) {
  Verdict verdict = Verdict::pass;
  for (const Finding& f : findings) {
    if (f.severity == Severity::fix) return Verdict::fix;
    if (f.severity == Severity::retake) verdict = Verdict::retake;
  }
  return verdict;
}

bool positively_right(const SideCase& c, int slot) {
  const SlotMarks& marks = c.evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
  if (!marks.seen) return false;
  if (c.side.number) {
    const auto number = trusted_number(c, slot);
    if (!number || *number != c.side.number->first + slot - 1) return false;
    if (marks.number.rotation_deg != c.side.number->rotation_deg) return false;
  }
  const auto by_vent = turned_by_vent(c, slot), by_sign = turned_by_sign(c, slot);
  if ((c.side.vent || c.side.sign) && !by_vent && !by_sign) return false;
  if ((by_vent && *by_vent) || (by_sign && *by_sign)) return false;
  if (c.pack.stagger_limit_mm &&
      (!marks.stagger_mm || std::abs(*marks.stagger_mm) > *c.pack.stagger_limit_mm))
    return false;
  return true;
}

void hold_unearned_pass(const SideCase& c, std::vector<Finding>& findings) {
  if (verdict_of(findings) != Verdict::pass) return;
  std::vector<int> slots;
  if (c.evidence.marks.slots.size() == static_cast<std::size_t>(c.pack.modules))
    for (int slot = 1; slot <= c.pack.modules; ++slot)
      if (!positively_right(c, slot)) slots.push_back(slot);
  const bool nothing_seen =
      c.evidence.marks.slots.size() != static_cast<std::size_t>(c.pack.modules);
  if (nothing_seen || !slots.empty())
    findings.push_back({"evidence.incomplete", Severity::retake, c.side.name, slots,
                        "not every slot was seen to be right", "photograph the side again"});
}

std::vector<std::string> missing_sides(const Pack& pack, const std::vector<SideEvidence>& sides) {
  std::vector<std::string> missing;
  for (const std::string& name : pack.required_sides)
    if (std::none_of(sides.begin(), sides.end(),
                     [&](const SideEvidence& e) { return e.side == name; }))
      missing.push_back(name);
  return missing;
}

}  // namespace

Judgement judge(const Pack& pack, const std::vector<SideEvidence>& sides, const TrustBar& bar) {
  Judgement judgement;
  std::vector<SideCase> cases;
  for (const SideEvidence& evidence : sides) {
    const auto side = std::find_if(pack.sides.begin(), pack.sides.end(),
                                   [&](const Side& s) { return s.name == evidence.side; });
    if (side == pack.sides.end()) {  // nothing to judge it by
      judgement.side_verdicts.push_back(Verdict::retake);
      judgement.findings.push_back({"evidence.incomplete",
                                    Severity::retake,
                                    evidence.side,
                                    {},
                                    "the pack has no such side",
                                    "name the side of the photo"});
      continue;
    }
    const SideCase c{pack, *side, evidence, bar};
    std::vector<Finding> findings = side_findings(c);
    hold_unearned_pass(c, findings);
    judgement.side_verdicts.push_back(verdict_of(findings));
    judgement.findings.insert(judgement.findings.end(), findings.begin(), findings.end());
    if (evidence.stack_found && evidence.modules_counted == pack.modules) cases.push_back(c);
  }
  const std::vector<Finding> across = compare_sides(cases);
  judgement.findings.insert(judgement.findings.end(), across.begin(), across.end());
  judgement.repair = repair_steps(cases);
  judgement.missing_sides = missing_sides(pack, sides);
  judgement.verdict = verdict_of(judgement.findings);
  if (judgement.verdict == Verdict::pass && (!judgement.missing_sides.empty() || sides.empty()))
    judgement.verdict = Verdict::retake;
  return judgement;
}

}  // namespace plumbstack
