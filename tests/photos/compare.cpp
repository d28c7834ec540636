#include <algorithm>
#include <set>

#include "suite.hpp"

namespace plumbstack::suite {
namespace {

using Json = nlohmann::json;

bool fair(const Json& truth, const std::string& verdict) {
  return std::count(truth["accept"].begin(), truth["accept"].end(), verdict) > 0;
}

// The sequence number that the slot carries, covered or not; nullopt where it has none.
std::optional<std::string> true_number(const Json& slot) {
  for (const Json& writing : slot["writing"])
    if (writing["sequence"]) return writing["text"].get<std::string>();
  return std::nullopt;
}

// What is read with trust and is not there, of one slot.
std::string wrong_reading(const Json& slot, const SlotMarks& marks, const TrustBar& bar) {
  const std::string where = "slot " + std::to_string(slot["slot"].get<int>());
  if (marks.number.text && marks.number.confidence >= bar.number &&
      true_number(slot) != marks.number.text)
    return where + " read " + *marks.number.text + ", is " + true_number(slot).value_or("blank");
  if (slot.contains("vent") && marks.vent.end && marks.vent.confidence >= bar.vent &&
      slot["vent"]["end"] != name_of(*marks.vent.end))
    return where + " vent read " + name_of(*marks.vent.end);
  if (slot.contains("sign") && marks.sign.sign && marks.sign.confidence >= bar.sign &&
      slot["sign"]["sign"] != name_of(*marks.sign.sign))
    return where + " sign read " + name_of(*marks.sign.sign);
  return "";
}

std::string wrong_reading(const Json& truth, const SideEvidence& evidence, const TrustBar& bar) {
  const std::vector<SlotMarks>& slots = evidence.marks.slots;
  // With a module more or fewer than the pack has, slots have no names to compare by.
  if (slots.empty() || truth["slots"].size() != slots.size()) return "";
  if (evidence.slot_1_at && truth["slot_1_at"] != name_of(*evidence.slot_1_at))
    return std::string("slot 1 taken to be at the ") + name_of(*evidence.slot_1_at);
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const std::string wrong = wrong_reading(truth["slots"][i], slots[i], bar);
    if (!wrong.empty()) return wrong;
  }
  return "";
}

// A fault stated for this side that the truth does not have. Where shift or gap is so near its
// limit that both verdicts are fair, stating it is fair too.
std::string false_finding(const Json& truth, const std::string& side, const Judgement& judgement) {
  std::set<std::string> codes;
  for (const Json& finding : truth["findings"]) codes.insert(finding["code"]);
  if (fair(truth, "pass") && fair(truth, "fix")) codes.insert({"stagger.over", "seat.gap"});
  for (const Finding& f : judgement.findings)
    if (f.severity == Severity::fix && f.side == side && !codes.contains(f.code))
      return f.code + ", which is not so";
  return "";
}

Outcome outcome_of(const std::string& verdict, bool is_fair, const std::string& wrong) {
  if (verdict == "pass" && !is_fair) return Outcome::escape;
  if (!wrong.empty() || (verdict == "fix" && !is_fair)) return Outcome::wrong;
  return is_fair ? Outcome::correct : Outcome::unsure;
}

Checked checked_photo(const PhotoTruth& photo, const std::string& variant, const Check& check,
                      std::size_t index) {
  const Json truth = varied(photo.truth, variant);
  const std::string verdict = name_of(check.judgement.side_verdicts[index]);
  std::string wrong = wrong_reading(truth, check.photos[index].evidence, check.trust_bar);
  if (wrong.empty()) wrong = false_finding(truth, photo.side, check.judgement);
  Checked checked{photo.side, variant, outcome_of(verdict, fair(truth, verdict), wrong), wrong};
  if (checked.outcome != Outcome::correct && wrong.empty())
    checked.why = verdict + ", fair is " + truth["accept"].dump();
  return checked;
}

// Verdicts of the stack that follow from one fair verdict for each photo.
std::set<std::string> fair_for_stack(const Bucket& bucket, const std::string& variant) {
  bool may_fix = false, may_pass = true, may_retake = false, must_fix = false;
  for (const PhotoTruth& photo : bucket.photos) {
    const Json truth = varied(photo.truth, variant);
    may_fix |= fair(truth, "fix");
    may_pass &= fair(truth, "pass");
    may_retake |= fair(truth, "retake");
    must_fix |= !fair(truth, "pass") && !fair(truth, "retake");
  }
  std::set<std::string> verdicts;
  if (may_fix) verdicts.insert("fix");
  if (may_pass) verdicts.insert("pass");
  if (may_retake && !must_fix) verdicts.insert("retake");
  return verdicts;
}

}  // namespace

std::vector<Checked> compare(const Bucket& bucket, const std::string& variant, const Check& check) {
  std::vector<Checked> all;
  for (std::size_t i = 0; i < bucket.photos.size(); ++i)
    all.push_back(checked_photo(bucket.photos[i], variant, check, i));
  const std::string verdict = name_of(check.judgement.verdict);
  const bool is_fair = fair_for_stack(bucket, variant).contains(verdict);
  all.push_back({"stack", variant, outcome_of(verdict, is_fair, ""),
                 is_fair ? "" : verdict + ", which is not fair"});
  return all;
}

Tally tally(const std::string& bucket, std::span<const Either> either,
            const std::vector<Checked>& checked) {
  Tally sum;
  for (const Checked& one : checked) {
    ++sum.checks;
    const bool counts_as_nothing = std::any_of(either.begin(), either.end(), [&](const Either& e) {
      return e.bucket == bucket && e.photo == one.photo && e.variant == one.variant;
    });
    if (one.outcome == Outcome::escape)
      ++sum.escapes;
    else if (counts_as_nothing)
      ++sum.either;
    else
      ++(one.outcome == Outcome::correct  ? sum.correct
         : one.outcome == Outcome::unsure ? sum.unsure
                                          : sum.wrong);
  }
  return sum;
}

std::vector<std::string> hold_against(const Budget& budget, const Tally& tally) {
  std::vector<std::string> complaints;
  const auto complain = [&](int is, int planned, const char* what, const char* then) {
    if (is != planned)
      complaints.push_back(std::string(budget.bucket) + ": " + std::to_string(is) + what +
                           ", budget " + std::to_string(planned) + then);
  };
  complain(tally.escapes, 0, " escapes", "");
  complain(tally.checks, budget.checks, " checks", "");
  complain(tally.correct, budget.min_correct, " correct",
           tally.correct > budget.min_correct ? ": better; raise the budget" : "");
  complain(tally.wrong, budget.max_wrong, " wrong",
           tally.wrong < budget.max_wrong ? ": better; lower the budget" : "");
  return complaints;
}

}  // namespace plumbstack::suite
