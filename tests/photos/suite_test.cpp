// The photo suite can't pass on nothing: what its parts say of folders, truths and counts that are
// not as they should be. No network runs here.
#include "suite.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "files.hpp"

namespace plumbstack::suite {
namespace {

using Json = nlohmann::json;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;

const char* const kTruth = R"({"accept": ["pass"], "expect": "pass"})";

void add_folder(const test::ScratchFolder& scratch, const std::string& name, bool with_truth) {
  std::filesystem::create_directories(scratch.path() / name);
  scratch.write(name + "/pack.json", std::string("{}"));
  scratch.write(name + "/number.jpg", std::string("jpeg"));
  if (with_truth) scratch.write(name + "/number.truth.json", std::string(kTruth));
}

TEST(Collect, FindsPhotosWithTheirTruth) {
  const test::ScratchFolder scratch;
  add_folder(scratch, "job-1", true);
  const Collected found = collect({scratch.path()});
  EXPECT_THAT(found.complaints, IsEmpty());
  ASSERT_EQ(found.buckets.size(), 1u);
  ASSERT_EQ(found.buckets[0].photos.size(), 1u);
  EXPECT_EQ(found.buckets[0].photos[0].side, "number");
}

TEST(Collect, ComplainsOfEveryThingMissing) {
  const test::ScratchFolder scratch;
  EXPECT_THAT(collect({scratch.path()}).complaints, Contains(HasSubstr("no folder")));
  add_folder(scratch, "job-1", false);
  EXPECT_THAT(collect({scratch.path()}).complaints,
              Contains("job-1/number.jpg: no truth beside it"));
  scratch.write("job-1/vent.truth.json", std::string(kTruth));
  EXPECT_THAT(collect({scratch.path()}).complaints, Contains(HasSubstr("without its photo")));
  std::filesystem::remove(scratch.path() / "job-1/pack.json");
  EXPECT_THAT(collect({scratch.path()}).complaints, Contains("job-1/pack.json: missing"));
  std::filesystem::create_directories(scratch.path() / "job-2");
  EXPECT_THAT(collect({scratch.path()}).complaints, Contains(HasSubstr("no photo in this folder")));
}

TEST(Table, NamesTheSameFoldersAsThereAre) {
  const std::vector<Bucket> there{{"job-1", {}, {}}, {"job-2", {}, {}}};
  const Budget fits[] = {{"job-1", 4, 4, 0}, {"job-2", 4, 4, 0}};
  EXPECT_THAT(compare_table(fits, {}, there), IsEmpty());
  const Budget short_by_one[] = {{"job-1", 4, 4, 0}};
  EXPECT_THAT(compare_table(short_by_one, {}, there), Contains(HasSubstr("does not list")));
  const Budget one_too_many[] = {{"job-1", 4, 4, 0}, {"job-2", 4, 4, 0}, {"job-3", 4, 4, 0}};
  EXPECT_THAT(compare_table(one_too_many, {}, there), Contains(HasSubstr("but no folder")));
  const Budget no_reason[] = {{"job-1", 4, 3, 1}, {"job-2", 4, 4, 0}};
  EXPECT_THAT(compare_table(no_reason, {}, there), Contains(HasSubstr("without a reason")));
  const Either unknown[] = {{"job-1", "number", "brighter", "at its limit"}};
  EXPECT_THAT(compare_table(fits, unknown, there), Contains(HasSubstr("no such check")));
}

TEST(Budgets, HoldInBothDirections) {
  const Budget budget{"job-1", 8, 6, 1, "a reason"};
  EXPECT_THAT(hold_against(budget, {8, 6, 1, 1, 0, 0}), IsEmpty());
  EXPECT_THAT(hold_against(budget, {8, 5, 2, 1, 0, 0}), Contains(HasSubstr("5 correct")));
  EXPECT_THAT(hold_against(budget, {8, 7, 0, 1, 0, 0}), Contains(HasSubstr("raise the budget")));
  EXPECT_THAT(hold_against(budget, {8, 6, 0, 2, 0, 0}), Contains(HasSubstr("2 wrong")));
  EXPECT_THAT(hold_against(budget, {8, 6, 2, 0, 0, 0}), Contains(HasSubstr("lower the budget")));
  EXPECT_THAT(hold_against(budget, {7, 6, 0, 1, 0, 0}), Contains(HasSubstr("7 checks")));
  EXPECT_THAT(hold_against(budget, {8, 6, 0, 1, 1, 0}), Contains(HasSubstr("1 escapes")));
}

TEST(Budgets, AnEscapeIsNeverEither) {
  const Either either[] = {{"job-1", "number", "plain", "at its limit"}};
  const Tally sum = tally(
      "job-1", either,
      {{"number", "plain", Outcome::escape, "passed"}, {"number", "darker", Outcome::correct, ""}});
  EXPECT_EQ(sum.escapes, 1);
  EXPECT_EQ(sum.correct, 1);
  EXPECT_EQ(tally("job-1", either, {{"number", "plain", Outcome::wrong, "x"}}).either, 1);
}

Json truth_of(bool slot_1_up, const char* expect, const Json& accept, const Json& findings) {
  return {{"slot_1_at", "top"},
          {"pack", {{"slot_1_up", slot_1_up}}},
          {"expect", expect},
          {"accept", accept},
          {"findings", findings}};
}

TEST(Turned, TheTruthTurnsToo) {
  const Json pass = Json::array({"pass"}), retake = Json::array({"retake"});
  const Json upright = truth_of(true, "pass", pass, Json::array());
  const Json good = varied(upright, "turned");
  EXPECT_EQ(good["slot_1_at"], "bottom");
  EXPECT_EQ(good["expect"], "fix");
  EXPECT_EQ(good["accept"], Json::array({"fix"}));
  EXPECT_EQ(good["findings"][0]["code"], "stack.reversed");
  EXPECT_EQ(varied(good, "turned"), upright);
  EXPECT_EQ(varied(upright, "darker"), upright);
  const Json blurred = truth_of(true, "retake", retake, Json::array());
  EXPECT_EQ(varied(blurred, "turned")["accept"], Json::array({"retake", "fix"}));
  const Json lying = varied(truth_of(false, "pass", pass, Json::array()), "turned");
  EXPECT_EQ(lying["accept"], pass);
  EXPECT_EQ(lying["slot_1_at"], "bottom");
}

// One slot that reads number `text` with confidence `sure`; the truth is 1.
Checked checked_number(const char* text, double sure, Verdict verdict, const char* accept) {
  const Json slot{{"slot", 1}, {"writing", Json::array({{{"text", "1"}, {"sequence", true}}})}};
  Bucket bucket{"job-1", {}, {}};
  bucket.photos.push_back(
      {"number", {}, truth_of(true, accept, Json::array({accept}), Json::array())});
  bucket.photos[0].truth["slots"] = Json::array({slot});
  CheckedPhoto photo;
  photo.side = "number";
  SlotMarks marks;
  marks.number.text = text;
  marks.number.confidence = sure;
  photo.evidence.marks.slots = {marks};
  Check check;
  check.photos.push_back(std::move(photo));
  check.judgement.verdict = verdict;
  check.judgement.side_verdicts = {verdict};
  return compare(bucket, "plain", check)[0];
}

TEST(Compare, TellsEscapesWrongAndUnsureApart) {
  EXPECT_EQ(checked_number("1", 0.999, Verdict::pass, "pass").outcome, Outcome::correct);
  EXPECT_EQ(checked_number("1", 0.999, Verdict::retake, "pass").outcome, Outcome::unsure);
  EXPECT_EQ(checked_number("1", 0.999, Verdict::fix, "pass").outcome, Outcome::wrong);
  EXPECT_EQ(checked_number("1", 0.999, Verdict::pass, "fix").outcome, Outcome::escape);
  EXPECT_EQ(checked_number("7", 0.999, Verdict::retake, "retake").outcome, Outcome::wrong);
  EXPECT_EQ(checked_number("7", 0.5, Verdict::retake, "retake").outcome, Outcome::correct);
}

TEST(Compare, AFaultThatIsNotThereIsWrong) {
  Bucket bucket{"job-1", {}, {}};
  bucket.photos.push_back({"number",
                           {},
                           truth_of(true, "fix", Json::array({"fix"}),
                                    Json::array({{{"code", "number.order"}, {"slots", {1, 2}}}}))});
  bucket.photos[0].truth["slots"] = Json::array();
  Check check;
  check.photos.emplace_back();
  check.judgement.verdict = Verdict::fix;
  check.judgement.side_verdicts = {Verdict::fix};
  check.judgement.findings = {{"number.order", Severity::fix, "number", {1, 2}, "", ""}};
  EXPECT_EQ(compare(bucket, "plain", check)[0].outcome, Outcome::correct);
  check.judgement.findings.push_back({"seat.gap", Severity::fix, "number", {1, 2}, "", ""});
  EXPECT_EQ(compare(bucket, "plain", check)[0].outcome, Outcome::wrong);
  EXPECT_EQ(compare(bucket, "plain", check)[1].outcome, Outcome::correct);
}

}  // namespace
}  // namespace plumbstack::suite
