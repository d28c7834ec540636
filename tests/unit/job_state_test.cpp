// How a job stands by its entries: what gives a pass, what takes it back, what a person may lift.
#include <gmock/gmock.h>

#include <cmath>

#include "job_fixture.hpp"
#include "plumbstack/job_steps.hpp"

namespace plumbstack {
namespace {

using test::confirmation;
using test::result_fact;
using test::Row;
using test::unsure;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

TEST(JobState, AJobDoneInOrderMayBeClosed) {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  EXPECT_THAT(row.state().unfinished, IsEmpty());
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::pass);
  EXPECT_EQ(row.state().signed_by, "");
  row.add(Signed{}, "R. Second");
  EXPECT_EQ(row.state().signed_by, "R. Second");
  row.add(Closed{});
  EXPECT_EQ(row.state().closed_at, "2026-03-02T07:00:00Z");
  EXPECT_EQ(row.state().signed_by, "R. Second");
}

TEST(JobState, EveryLineOfTheDefaultListHoldsBackAJob) {
  Row whole;
  whole.before_stacking().stacked().add(result_fact("pass")).bussed();
  for (const CheckLine& line : test::opened_fact().check_list) {
    Row row;
    row.entries.clear();
    for (const JobEntry& entry : whole.entries) {
      const auto* tick = std::get_if<LineTicked>(&entry.fact);
      const auto* photo = std::get_if<PhotoAttached>(&entry.fact);
      const bool left_out =
          (tick && tick->line == line.id) || (photo && photo->shows == line.id) ||
          (line.answer == Answer::pass && std::holds_alternative<ResultAttached>(entry.fact)) ||
          (line.answer == Answer::serials && std::holds_alternative<SerialsCompared>(entry.fact));
      if (!left_out) row.add(entry.fact, entry.by);
    }
    EXPECT_THAT(row.state().unfinished, Contains(line.id + " is open")) << line.id;
  }
}

TEST(JobVerdict, ALiftAfterThePassVoidsIt) {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass"));
  const int pass = row.last();
  row.bussed().add(ModulesLifted{{2, 3}, "a stud was loose", 0});
  const VerdictState now = row.state().verdict;
  EXPECT_EQ(now.verdict, JobVerdict::voided);
  EXPECT_EQ(now.result, pass);
  EXPECT_EQ(now.voided_by, row.last());
  EXPECT_THAT(now.why, HasSubstr("slots 2 and 3 lifted: a stud was loose"));
  // With the pass goes what was built on it, and the measures of the stack.
  for (const char* line : {"bus-bars", "insulation", "bussed-photo", "compressed-length"})
    EXPECT_EQ(row.line(line).standing, LineStanding::voided) << line;
  EXPECT_EQ(row.line("service-plug").standing, LineStanding::done);
  EXPECT_EQ(row.line("serials").standing, LineStanding::open);  // of the two that were out
}

TEST(JobVerdict, AFailedCheckAfterThePassReplacesIt) {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  for (const char* worse : {"fix", "retake"}) {
    Row later = row;
    later.add(result_fact(worse, {}, row.last()));
    EXPECT_STREQ(name_of(later.state().verdict.verdict), worse);
    EXPECT_EQ(later.line("bus-bars").standing, LineStanding::voided);
    EXPECT_EQ(later.line("side-photos").standing, LineStanding::failed);
  }
}

TEST(JobVerdict, AFailedLineAboutTheStackVoidsThePassForGood) {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  Row torque = row;
  torque.tick("bus-nuts", {9.0});
  EXPECT_EQ(torque.state().verdict.verdict, JobVerdict::pass);
  EXPECT_THAT(torque.state().unfinished, ElementsAre("bus-nuts is failed"));
  row.tick("insulation", {0.001});
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided);
  EXPECT_THAT(row.state().verdict.why, HasSubstr("insulation failed: 0.001 MΩ is under"));
  row.tick("insulation", {5});
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided);
  row.add(result_fact("pass")).bussed();
  EXPECT_THAT(row.state().unfinished, IsEmpty());
}

// A finished stack whose insulation was typed as 0.001 MΩ.
Row mistyped() {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  return row.tick("insulation", {0.001});
}

FiguresCorrected correction(const Row& row, double was, double right) {
  return {row.last(), "insulation", {was}, {right}, "MΩ read as GΩ"};
}

TEST(Correction, OfAMistypedFigureGivesThePassBack) {
  Row row = mistyped();
  ASSERT_EQ(row.state().verdict.verdict, JobVerdict::voided);
  const int tick = row.last();
  row.add(correction(row, 0.001, 5), "A. Reader");
  const JobState state = row.state();
  EXPECT_EQ(state.verdict.verdict, JobVerdict::pass);
  EXPECT_THAT(state.unfinished, IsEmpty());
  EXPECT_EQ(row.line("insulation").entry, tick);
  EXPECT_EQ(row.line("insulation").corrected, row.last());
  EXPECT_EQ(row.line("insulation").says,
            "5 MΩ (corrected in entry " + std::to_string(row.last()) + ")");
  EXPECT_THAT(state.remarks,
              ElementsAre("entry " + std::to_string(row.last()) + ": insulation of entry " +
                          std::to_string(tick) +
                          " corrected by A. Reader from 0.001 MΩ to 5 MΩ: MΩ read as GΩ"));
  EXPECT_EQ(std::get<LineTicked>(row.entries[static_cast<std::size_t>(tick - 1)].fact).figures,
            std::vector<double>{0.001});
}

TEST(Correction, TheLastOneCounts) {
  Row row = mistyped();
  FiguresCorrected again = correction(row, 5, 0.002);
  row.add(correction(row, 0.001, 5)).add(again);
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided);
  again.figures = {6};
  row.add(again);
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::pass);
}

TEST(Correction, LiftsNothingElse) {
  // Neither what photos show, nor a lift, nor the failure of another line.
  Row fix = mistyped();
  const int tick = fix.last();
  fix.add(result_fact("fix", {{"number.order", "fix", "number", {2}, "slot 2 reads 3"}}));
  fix.add(FiguresCorrected{tick, "insulation", {0.001}, {5}, "a slip"});
  EXPECT_EQ(fix.state().verdict.verdict, JobVerdict::fix);
  Row lifted = mistyped();
  lifted.add(ModulesLifted{{2}, "a stud was loose", 0});
  lifted.add(FiguresCorrected{tick, "insulation", {0.001}, {5}, "a slip"});
  EXPECT_EQ(lifted.state().verdict.verdict, JobVerdict::voided);
  Row other = mistyped();
  other.tick("condition", {}, "a leak in slot 3", false);
  other.add(FiguresCorrected{tick, "insulation", {0.001}, {5}, "a slip"});
  EXPECT_EQ(other.state().verdict.verdict, JobVerdict::voided);
  EXPECT_THAT(other.state().verdict.why, HasSubstr("a leak in slot 3"));
}

TEST(Correction, ToABadFigureTakesThePassBack) {
  Row row;
  row.before_stacking();
  const int voltages = row.last() - 1;
  row.stacked().add(result_fact("pass"));
  ASSERT_EQ(std::get<LineTicked>(row.entries[static_cast<std::size_t>(voltages - 1)].fact).line,
            "module-voltages");
  row.add(FiguresCorrected{voltages, "module-voltages", {}, {7.85, 7.86, 7.87, 7.1}, "slot 4"});
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided);
  EXPECT_EQ(row.state().verdict.voided_by, row.last());
  EXPECT_EQ(row.line("module-voltages").standing, LineStanding::failed);
}

TEST(Correction, AsksForASignatureAgain) {
  Row row = mistyped();
  row.add(correction(row, 0.001, 5)).add(Signed{}, "R. Second");
  ASSERT_EQ(row.state().signed_by, "R. Second");
  const int tick = row.last() - 2;
  row.add(FiguresCorrected{tick, "insulation", {5}, {6}, "a slip"});
  EXPECT_EQ(row.state().signed_by, "");
}

TEST(Correction, IsTakenForFiguresOnly) {
  const Row row = mistyped();
  const auto take = [&](int entry, std::vector<double> figures) {
    return steps::correct_figures(entry, std::move(figures), "a slip")(row.entries);
  };
  const auto fact = take(row.last(), {5});
  ASSERT_TRUE(fact);
  EXPECT_EQ(std::get<FiguresCorrected>(*fact).was, std::vector<double>{0.001});
  EXPECT_EQ(std::get<FiguresCorrected>(*fact).line, "insulation");
  for (const int entry : {0, -1, 1, 2, 4, row.last() + 1})  // none, the opening, a plan, a tick
    EXPECT_FALSE(take(entry, {5})) << entry;
  EXPECT_FALSE(take(row.last(), {0.001}));
  EXPECT_FALSE(take(row.last(), {5, 6}));
  EXPECT_FALSE(take(row.last(), {}));
  EXPECT_FALSE(take(row.last(), {std::nan("")}));
}

TEST(Remarks, WorkAfterBussingBeforeThePassIsNoted) {
  Row row;
  row.before_stacking().stacked().tick("bus-bars", {}, "one was bent", false);
  EXPECT_THAT(row.state().remarks,
              ElementsAre("entry " + std::to_string(row.last()) +
                          ": bus-bars out of order: the stack had not passed yet"));
  Row passed;
  passed.before_stacking().stacked().add(result_fact("pass"));
  passed.tick("bus-bars", {}, "one was bent", false);
  EXPECT_THAT(passed.state().remarks, IsEmpty());
}

TEST(JobVerdict, BussingBeforeThePassDoesNotCount) {
  Row row;
  row.before_stacking().stacked().bussed().add(result_fact("pass"));
  EXPECT_EQ(row.line("bus-bars").standing, LineStanding::voided);
  EXPECT_THAT(row.line("bus-bars").says, HasSubstr("had not passed"));
}

TEST(JobVerdict, FixAndRecheckAreOneChain) {
  Row row;
  row.add(result_fact("fix", {{"number.order", "fix", "number", {2, 3}, "swapped"}}));
  row.add(ModulesLifted{{2, 3}, "swapped back", 2});
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::fix);
  row.add(result_fact("retake", {}, 2)).add(result_fact("pass", {}, 4));
  EXPECT_THAT(row.state().chains, ElementsAre(ElementsAre(2, 3, 4, 5)));
}

TEST(Confirmation, LiftsAllUnsureReadingsOrNothing) {
  Row row;
  row.add(result_fact("retake", {unsure("number", {2, 4})}));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::retake);
  row.add(confirmation(2, 2, "2"));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::retake);
  row.add(confirmation(2, 4, "4"));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::pass);
  EXPECT_EQ(row.state().verdict.since, 4);
  EXPECT_THAT(row.state().verdict.confirmations, ElementsAre(3, 4));
  EXPECT_THAT(row.line("side-photos").says, HasSubstr("2 readings confirmed by a person"));
}

TEST(Confirmation, NeverLiftsAFix) {
  for (const char* code : {"number.order", "number.unsure", "count.short"}) {
    Row row;
    row.add(result_fact("fix", {{code, "fix", "number", {2}, "wrong"}, unsure("number", {2})}));
    row.add(confirmation(2, 2, "2"));
    EXPECT_EQ(row.state().verdict.verdict, JobVerdict::fix) << code;
  }
}

TEST(Confirmation, LiftsNothingButReadings) {
  for (const char* code : {"stagger.unsure", "seat.unsure", "count.unsure", "number.doubtful",
                           "photo.blurred", "sides.disagree", "evidence.incomplete"}) {
    Row row;
    row.add(result_fact("retake", {unsure("number", {2}), {code, "retake", "number", {2}, "no"}}));
    row.add(confirmation(2, 2, "2"));
    EXPECT_EQ(row.state().verdict.verdict, JobVerdict::retake) << code;
    EXPECT_EQ(confirmable_mark(code), "");
  }
  Row nothing;  // a retake that names no reason is none that a person could lift
  nothing.add(result_fact("retake")).add(confirmation(2, 2, "2"));
  nothing.add(result_fact("retake"));
  EXPECT_EQ(nothing.state().verdict.verdict, JobVerdict::retake);
}

TEST(Confirmation, OfAnotherReadingIsAFault) {
  Row row;
  row.add(result_fact("retake", {unsure("number", {2})}));
  row.add(confirmation(2, 2, "7"));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::fix);
  EXPECT_THAT(row.state().verdict.why, HasSubstr("M. Fennel reads number 7 in slot 2"));
  row.add(confirmation(2, 2, "2"));  // a second opinion does not take it away
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::fix);
}

TEST(Confirmation, HoldsForItsOwnResultOnly) {
  Row row;
  row.add(result_fact("retake", {unsure("number", {2})})).add(confirmation(2, 2, "2"));
  row.add(result_fact("retake", {unsure("number", {2})}, 2));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::retake);
}

TEST(Confirmation, AfterALiftConfirmsWhatIsGone) {
  Row row;
  row.add(result_fact("retake", {unsure("number", {2})})).add(ModulesLifted{{2}, "to look", 2});
  row.add(confirmation(2, 2, "2"));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided);
}

TEST(JobVerdict, APassWithoutARequiredSideIsNone) {
  Row row;
  ResultAttached result = result_fact("pass");
  result.photos.pop_back();
  row.add(result);
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::retake);
  EXPECT_THAT(row.state().verdict.why, HasSubstr("no photo of side vent"));
}

TEST(Serials, AreComparedSlotBySlotWithThePlan) {
  Row row;
  row.add(test::plan_fact()).add(SerialsCompared{{{1, "FL-601"}, {2, "FL-603"}}});
  EXPECT_EQ(row.line("serials").standing, LineStanding::failed);
  EXPECT_THAT(row.line("serials").says, HasSubstr("slot 2 holds FL-603"));
  row.add(SerialsCompared{{{2, "FL-602"}}});
  EXPECT_EQ(row.line("serials").standing, LineStanding::open);
  EXPECT_EQ(row.line("serials").says, "2 of 4 compared");
  row.add(test::serials_fact());
  EXPECT_EQ(row.line("serials").standing, LineStanding::done);
}

TEST(Serials, WithoutAPlanMustDiffer) {
  Row row;
  row.add(test::serials_fact());
  EXPECT_EQ(row.line("serials").standing, LineStanding::done);
  row.add(SerialsCompared{{{3, "FL-601"}}});
  EXPECT_EQ(row.line("serials").standing, LineStanding::failed);
}

TEST(Serials, WhatWasReplacedIsStillKnown) {
  Row row;
  row.add(test::plan_fact()).add(test::serials_fact()).add(test::plan_fact("FL-9"));
  const auto modules = row.state().modules;
  ASSERT_EQ(modules.size(), 8u);
  EXPECT_EQ(modules[0].serial, "FL-9601");
  EXPECT_EQ(modules[0].place, JobModule::planned);
  EXPECT_EQ(modules[7].serial, "FL-604");
  EXPECT_EQ(modules[7].place, JobModule::replaced);
}

TEST(Figures, AreHeldAgainstTheirLimits) {
  Row row;
  row.tick("module-voltages", {7.85, 7.86, 7.87, 7.90});  // 50 mV, just the limit
  EXPECT_EQ(row.line("module-voltages").standing, LineStanding::done);
  row.tick("module-voltages", {7.85, 7.86, 7.87, 7.91});
  EXPECT_EQ(row.line("module-voltages").standing, LineStanding::failed);
  EXPECT_THAT(row.line("module-voltages").says, HasSubstr("differ by 0.06 V"));
  row.tick("module-voltages", {7.85});
  EXPECT_THAT(row.line("module-voltages").says, HasSubstr("1 given, the line asks for 4"));
}

TEST(Signature, IsVoidAsSoonAsAnythingFollows) {
  Row row;
  row.add(Signed{}, "R. Second").tick("sensors");
  EXPECT_EQ(row.state().signed_by, "");
}

TEST(Signature, TheSameNameInOtherLettersIsNoSecondPerson) {
  EXPECT_TRUE(same_person("M. Fennel", "m fennel"));
  EXPECT_TRUE(same_person(" M.Fennel ", "M. FENNEL"));
  EXPECT_FALSE(same_person("M. Fennel", "R. Fennel"));
}

TEST(Remarks, PhotosTakenBeforeTheJobWasOpenedAreNoted) {
  Row row;
  ResultAttached result = result_fact("pass");
  result.photos[1].taken_at = "2026:03:01 17:00:00";
  row.add(result);
  EXPECT_THAT(row.state().remarks,
              ElementsAre("entry 2: vent.jpg was taken 2026:03:01 17:00:00, before the job was "
                          "opened"));
}

}  // namespace
}  // namespace plumbstack
