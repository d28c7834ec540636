// The judgement, in order: what each side shows, whether it earned its pass, whether the sides
// agree, whether all are there.
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

Finding incomplete(const std::string& side, std::vector<int> slots, std::string message) {
  return {"evidence.incomplete", Severity::retake,   side,
          std::move(slots),      std::move(message), "photograph this side again"};
}

void hold_unearned_pass(const SideCase& c, std::vector<Finding>& findings) {
  if (verdict_of(findings) != Verdict::pass) return;
  const std::vector<int> slots = unproven_slots(c);
  const SideEvidence& e = c.evidence;
  const bool whole = e.stack_found && e.count_sure && e.modules_counted == c.pack.modules &&
                     c.pack.modules > 0 &&
                     e.marks.slots.size() == static_cast<std::size_t>(c.pack.modules) &&
                     e.slot_1_at && (!c.pack.slot_1_up || *e.slot_1_at == Edge::top);
  if (!slots.empty())
    findings.push_back(incomplete(c.side.name, slots, slots_text(slots) + " not seen to be right"));
  else if (!whole)
    findings.push_back(incomplete(c.side.name, {}, "the stack was not seen as a whole"));
}

const Side* side_named(const Pack& pack, const std::string& name) {
  for (const Side& side : pack.sides)
    if (side.name == name) return &side;
  return nullptr;
}

std::vector<std::string> missing_sides(const Pack& pack, const std::vector<SideEvidence>& sides) {
  std::vector<std::string> missing;
  for (const std::string& name : pack.required_sides)
    if (std::none_of(sides.begin(), sides.end(),
                     [&](const SideEvidence& e) { return e.side == name; }))
      missing.push_back(name);
  return missing;
}

std::vector<Finding> findings_of(const Pack& pack, const SideEvidence& evidence,
                                 const TrustBar& bar, const RepairPlan& plan) {
  const Side* side = side_named(pack, evidence.side);
  if (!side)
    return {incomplete(evidence.side, {}, "the pack has no side named '" + evidence.side + "'")};
  const SideCase c{pack, *side, evidence, bar};
  std::vector<Finding> findings = side_findings(c, plan);
  hold_unearned_pass(c, findings);
  return findings;
}

}  // namespace

Judgement judge(const Pack& pack, const std::vector<SideEvidence>& sides, const TrustBar& bar) {
  std::vector<SideCase> cases;  // whose slots can be compared and planned with
  for (const SideEvidence& evidence : sides)
    if (const Side* side = side_named(pack, evidence.side)) {
      const SideCase c{pack, *side, evidence, bar};
      if (c.slots_can_be_named()) cases.push_back(c);
    }
  const RepairPlan plan = plan_repair(cases);
  Judgement judgement;
  for (const SideEvidence& evidence : sides) {
    const std::vector<Finding> findings = findings_of(pack, evidence, bar, plan);
    judgement.side_verdicts.push_back(verdict_of(findings));
    judgement.findings.insert(judgement.findings.end(), findings.begin(), findings.end());
  }
  const std::vector<Finding> across = compare_sides(cases);
  judgement.findings.insert(judgement.findings.end(), across.begin(), across.end());
  const std::vector<Finding> of_shots = compare_shots(sides);
  judgement.findings.insert(judgement.findings.end(), of_shots.begin(), of_shots.end());
  judgement.repair = plan.steps;
  judgement.missing_sides = missing_sides(pack, sides);
  judgement.verdict = verdict_of(judgement.findings);
  if (judgement.verdict == Verdict::pass && (!judgement.missing_sides.empty() || sides.empty()))
    judgement.verdict = Verdict::retake;
  return judgement;
}

}  // namespace plumbstack
