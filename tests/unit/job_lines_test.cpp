// What takes a line of the check list back, and who may sign.
#include <gmock/gmock.h>

#include "job_fixture.hpp"
#include "plumbstack/job_steps.hpp"

namespace plumbstack {
namespace {

using test::result_fact;
using test::Row;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

Row worked_off() {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  return row;
}

TEST(Lines, AFaultThatTheCheckFoundTakesBackWhatWasMeasuredOnTheStack) {
  const auto order = ResultFinding{"number.order", "fix", "number", {2, 3}, "slot 2 reads 3"};
  Row row;
  row.before_stacking().stacked().add(result_fact("fix", {order}));
  row.add(result_fact("pass", {}, row.last()));
  EXPECT_EQ(row.state().verdict.verdict, JobVerdict::pass);
  for (const char* line : {"compressed-length", "end-plate-torque"}) {
    EXPECT_EQ(row.line(line).standing, LineStanding::voided) << line;
    EXPECT_EQ(row.line(line).says, "the check found a fault after it");
  }
  EXPECT_EQ(row.line("gloves-and-tools").standing, LineStanding::done);
  row.stacked();
  EXPECT_EQ(row.line("compressed-length").standing, LineStanding::done);
}

TEST(Lines, AnotherPlanTakesBackWhatWasSaidOfTheModules) {
  Row row;
  row.before_stacking().add(test::plan_fact("FM-"));
  for (const char* line : {"module-voltages", "condition"})
    EXPECT_EQ(row.line(line).standing, LineStanding::voided) << line;
  EXPECT_EQ(row.line("gloves-and-tools").standing, LineStanding::done);
}

TEST(Lines, NoughtIsNoReading) {
  for (const double volts : {0.0, -15.7, 999.0}) {
    Row row = worked_off();
    row.tick("block-voltages", {volts, volts});
    EXPECT_EQ(row.line("block-voltages").standing, LineStanding::failed) << volts;
    EXPECT_EQ(row.state().verdict.verdict, JobVerdict::voided) << volts;
  }
  EXPECT_EQ(Row().tick("compressed-length", {-5}).line("compressed-length").standing,
            LineStanding::failed);
  EXPECT_EQ(Row().tick("end-plate-torque", {0}).line("end-plate-torque").standing,
            LineStanding::failed);
}

TEST(Lines, SerialsReadWithoutAPlanAreSaidToBe) {
  Row row;
  row.add(test::serials_fact());
  EXPECT_EQ(row.line("serials").says, "4 of 4 read; no plan to compare them with");
  EXPECT_THAT(row.state().remarks, Contains(HasSubstr("no plan to compare them with")));
  EXPECT_EQ(worked_off().line("serials").says, "4 of 4 compared");
  EXPECT_THAT(worked_off().state().remarks, Not(Contains(HasSubstr("no plan"))));
}

TEST(Signature, IsOfSomebodyWhoHadNoHandInThePack) {
  Row row = worked_off();
  EXPECT_TRUE(steps::sign_job("R. Second", "")(row.entries));
  row.add(LineTicked{"sensors", true, {}, ""}, "A. Helper");
  EXPECT_TRUE(steps::sign_job("R. Second", "")(row.entries));
  const auto own = steps::sign_job("a. helper", "")(row.entries);
  ASSERT_FALSE(own);
  EXPECT_THAT(own.error().message, HasSubstr("own work"));
}

}  // namespace
}  // namespace plumbstack
