// The list of codes and the judge keep together: every code can be made, with the severities
// listed, and says in words what was seen and what to do.
#include <gmock/gmock.h>

#include <functional>
#include <map>
#include <set>

#include "judge_stacks.hpp"
#include "plumbstack/finding_codes.hpp"

namespace plumbstack {
namespace {

using test::at;

using Change = std::function<void(Pack&, SideEvidence&)>;
using Changes = std::vector<std::pair<std::string, Change>>;

void no_number(SideEvidence& photo, bool place_seen) {
  at(photo, 3).number.text.reset();
  at(photo, 3).number.place_seen = place_seen;
}

Changes number_changes() {
  return {{"number.order", [](Pack&, SideEvidence& e) { at(e, 3).number.text = "5"; }},
          {"number.duplicate", [](Pack&, SideEvidence& e) { at(e, 3).number.text = "5"; }},
          {"number.foreign", [](Pack&, SideEvidence& e) { at(e, 3).number.text = "50"; }},
          {"number.missing", [](Pack&, SideEvidence& e) { no_number(e, true); }},
          {"number.unsure", [](Pack&, SideEvidence& e) { no_number(e, false); }},
          {"number.doubtful",
           [](Pack&, SideEvidence& e) {
             at(e, 3).number.text = "5", at(e, 3).number.confidence = 0.99;
           }},
          {"number.end", [](Pack&, SideEvidence& e) { at(e, 3).number.end = End::left; }},
          {"number.rotation", [](Pack&, SideEvidence& e) { at(e, 3).number.rotation_deg = 90; }}};
}

Changes way_round_changes() {
  return {{"vent.repeat", [](Pack&, SideEvidence& e) { at(e, 3).vent.end = End::right; }},
          {"sign.doubtful",
           [](Pack&, SideEvidence& e) {
             at(e, 3).sign.sign = Sign::minus, at(e, 3).sign.confidence = 0.995;
           }},
          {"vent.unsure", [](Pack&, SideEvidence& e) { at(e, 3).vent.end.reset(); }},
          {"vent.unsure",
           [](Pack&, SideEvidence& e) { at(e, 3).vent.confidence = at(e, 3).sign.confidence = 0; }},
          {"sign.repeat", [](Pack&, SideEvidence& e) { at(e, 3).sign.sign = Sign::minus; }},
          {"sign.unsure", [](Pack&, SideEvidence& e) { at(e, 3).sign.sign.reset(); }},
          {"sign.unsure", [](Pack&, SideEvidence& e) {
             at(e, 3).vent.confidence = at(e, 3).sign.confidence = 0;
           }}};
}

Changes place_changes() {
  return {{"stagger.over", [](Pack&, SideEvidence& e) { at(e, 3).stagger_mm = 2; }},
          {"stagger.near", [](Pack&, SideEvidence& e) { at(e, 3).stagger_mm = 0.9; }},
          {"stagger.unsure", [](Pack&, SideEvidence& e) { at(e, 3).stagger_mm.reset(); }},
          {"seat.gap", [](Pack&, SideEvidence& e) { at(e, 3).gap_mm = 5; }},
          {"seat.unsure", [](Pack&, SideEvidence& e) { at(e, 3).gap_mm.reset(); }}};
}

Changes stack_changes() {
  return {{"count.short", [](Pack&, SideEvidence& e) { e.modules_counted = 5; }},
          {"count.long", [](Pack&, SideEvidence& e) { e.modules_counted = 7; }},
          {"count.unsure", [](Pack&, SideEvidence& e) { e.count_sure = false; }},
          {"stack.reversed",
           [](Pack& p, SideEvidence& e) { p.slot_1_up = true, e.slot_1_at = Edge::left; }},
          {"stack.direction", [](Pack&, SideEvidence& e) { e.slot_1_at.reset(); }},
          {"photo.covered", [](Pack&, SideEvidence& e) { at(e, 3).seen = false; }},
          {"photo.no_stack", [](Pack&, SideEvidence& e) { e.stack_found = false; }},
          {"evidence.incomplete", [](Pack&, SideEvidence& e) { e.marks.slots.pop_back(); }}};
}

// What only the earlier stages can see; the judge takes it over.
const std::set<std::string> kOfTheCapture{"photo.blurred", "photo.glare", "photo.cropped",
                                          "photo.dark"};

// Adds what was found to `seen`, and looks at each finding by itself.
void look_at(const Judgement& judgement, const std::string& wanted,
             std::map<std::string, std::set<Severity>>& seen) {
  std::set<std::string> made;
  for (const Finding& f : judgement.findings) {
    made.insert(f.code);
    seen[f.code].insert(f.severity);
    EXPECT_FALSE(f.message.empty()) << f.code;
    EXPECT_FALSE(f.action.empty()) << f.code;
    EXPECT_TRUE(std::is_sorted(f.slots.begin(), f.slots.end())) << f.code;
  }
  EXPECT_TRUE(made.contains(wanted)) << wanted;
}

TEST(FindingCodes, EachIsMadeWithTheSeveritiesListedAndNoOther) {
  std::map<std::string, std::set<Severity>> seen;
  int made = 0;
  for (const Changes& changes :
       {number_changes(), way_round_changes(), place_changes(), stack_changes()})
    for (const auto& [code, change] : changes) {
      Pack pack = test::one_side(6);
      SideEvidence photo = test::photo_of(pack, "top", test::right_stack(6));
      change(pack, photo);
      look_at(judge(pack, {photo}), code, seen);
      ++made;
    }
  Pack pack = test::four_sides(6);
  auto photos = test::photos_of(pack, test::right_stack(6));
  at(photos[2], 3).sign.sign = Sign::minus;
  look_at(judge(pack, photos), "sides.disagree", seen);
  photos[0].shot = {"f00d", "2026:11:20 10:00:00"};
  photos[1].shot = {"f00d", "2026:11:20 10:31:00"};
  look_at(judge(pack, photos), "photo.reused", seen);
  look_at(judge(pack, photos), "photo.apart", seen);
  EXPECT_EQ(made, 28);

  std::map<std::string, std::set<Severity>> listed;
  for (const FindingCode& code : kFindingCodes) {
    std::set<Severity>& may = listed[std::string(code.code)];
    EXPECT_TRUE(may.empty()) << code.code << " is listed twice";
    EXPECT_FALSE(code.when.empty());
    if (code.may_note) may.insert(Severity::note);
    if (code.may_retake) may.insert(Severity::retake);
    if (code.may_fix) may.insert(Severity::fix);
  }
  for (const std::string& code : kOfTheCapture) EXPECT_EQ(listed.erase(code), 1u) << code;
  listed["photo.covered"].erase(Severity::note);  // as a note it comes from the capture only
  EXPECT_EQ(seen, listed);
}

TEST(FindingCodes, CaptureCodesPassThrough) {
  const Pack pack = test::one_side(6);
  for (const std::string& code : kOfTheCapture) {
    SideEvidence photo = test::photo_of(pack, "top", test::right_stack(6));
    photo.capture_findings.push_back({code, Severity::retake, "top", {2}, "seen", "do"});
    const Judgement judgement = judge(pack, {photo});
    ASSERT_EQ(judgement.findings.size(), 1u);
    EXPECT_EQ(judgement.findings[0].code, code);
    EXPECT_EQ(judgement.verdict, Verdict::retake);
  }
}

}  // namespace
}  // namespace plumbstack
