// The report of a job: one way to look like a pass, and everything a reader needs is there.
#include "plumbstack/job_report.hpp"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>

#include "job_fixture.hpp"

namespace plumbstack {
namespace {

using test::confirmation;
using test::file_of;
using test::result_fact;
using test::Row;
using test::unsure;
using testing::HasSubstr;
using testing::Not;

std::string picture_bytes() {
  const auto bytes = jpeg_bytes(cv::Mat(30, 40, CV_8UC3, cv::Scalar(10, 120, 240)), 90);
  return {bytes.begin(), bytes.end()};
}

const char* const kPack = R"({"schema": "plumbstack/pack/1", "id": "short-4",
  "name": "4 modules on the bench", "modules": 4,
  "module_mm": {"length": 200, "height": 100, "thickness": 20},
  "sides": {"number": {"strip_mm": 200, "number": {"first": 1, "end": "right", "rotation_deg": 180}},
            "vent": {"strip_mm": 200, "sign": {"slot_1": "+", "end": "left"}}},
  "electrical": {"cells_per_module": 6, "nominal_v_per_cell": 1.2, "charged_v_per_cell": 1.4,
                 "modules_per_block": 2}})";

Result<std::string> bytes_of(const KeptFile& file) {
  if (file.name == "short-4.json") return std::string(kPack);
  if (file.name.ends_with(".jpg")) return picture_bytes();
  return fail(ErrorCode::record_damaged, "is missing", file.name);
}

Document document_of(const Row& row, std::optional<Error> fault = std::nullopt) {
  return job_report({{row.entries, std::string(64, 'a'), std::move(fault)}, bytes_of});
}
std::string page_of(const Row& row, std::optional<Error> fault = std::nullopt) {
  return document_html(document_of(row, std::move(fault)));
}

Row closed_job() {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed();
  return row.add(Signed{"looked through"}, "R. Second").add(Closed{});
}

TEST(JobReport, OnlyAClosedJobThatHoldsLooksLikeAPass) {
  const Row whole = closed_job();
  EXPECT_TRUE(document_of(whole).standing.good);
  EXPECT_EQ(document_of(whole).standing.headline, "CLOSED: PASS");
  Row early = Row().add(result_fact("pass")).add(Signed{}, "R. Second").add(Closed{});
  EXPECT_EQ(document_of(early).standing.headline, "CLOSED: NO PASS");
  Row part;
  for (std::size_t i = 1; i + 1 < whole.entries.size(); ++i) {
    part.add(whole.entries[i].fact, whole.entries[i].by);
    const Banner standing = document_of(part).standing;
    EXPECT_FALSE(standing.good) << i;
    EXPECT_THAT(standing.headline, Not(HasSubstr("PASS"))) << i;
  }
  const Banner damaged =
      document_of(whole, Error{ErrorCode::record_damaged, "was changed", "entry 9"}).standing;
  EXPECT_FALSE(damaged.good);
  EXPECT_EQ(damaged.headline, "NOT VERIFIED: RECORD DAMAGED");
}

TEST(JobReport, ADamagedRecordHasNothingDone) {
  EXPECT_THAT(page_of(closed_job()), HasSubstr("☑ done"));
  const std::string page =
      page_of(closed_job(), Error{ErrorCode::record_damaged, "was changed", "entry 9"});
  EXPECT_THAT(page, Not(HasSubstr("☑")));
  EXPECT_THAT(page, HasSubstr("☐ not verified"));
}

TEST(JobReport, OnePersonsWordMakesNoPass) {
  const auto headline = [](const std::string& signs, const std::string& closes) {
    Row row;
    row.before_stacking().stacked().add(result_fact("pass")).bussed();
    return document_of(row.add(Signed{}, signs).add(Closed{}, closes)).standing.headline;
  };
  const std::string technician = "M. Fennel";
  EXPECT_EQ(headline("R. Second", technician), "CLOSED: PASS");
  EXPECT_EQ(headline(technician, "R. Second"), "CLOSED: NO PASS");
  EXPECT_EQ(headline("R. Second", "R. Second"), "CLOSED: NO PASS");
}

TEST(JobReport, SaysHowAnOpenJobStandsAndWhatLiftsIt) {
  const auto order = ResultFinding{"number.order", "fix", "number", {2, 3}, "slot 2 reads 3"};
  const auto standing = [](Row row) { return document_of(row).standing; };
  EXPECT_EQ(standing(Row()).headline, "OPEN: NOT CHECKED YET");
  EXPECT_EQ(standing(Row().add(result_fact("pass"))).headline, "OPEN: NOT FINISHED");
  const Banner fix = standing(Row().add(result_fact("fix", {order})));
  EXPECT_EQ(fix.headline, "OPEN: FIX");
  EXPECT_THAT(fix.lines, testing::Contains("Why: number.order: slot 2 reads 3"));
  EXPECT_THAT(fix.lines, testing::Contains(HasSubstr("No person's word lifts a fault")));
  const Row retake = Row().add(result_fact("retake", {unsure("number", {2})}));
  EXPECT_EQ(standing(retake).headline, "OPEN: RETAKE PHOTOS");
  const Banner voided =
      standing(Row().add(result_fact("pass")).add(ModulesLifted{{2}, "a stud was loose", 0}));
  EXPECT_EQ(voided.headline, "OPEN: PASS TAKEN BACK");
  EXPECT_THAT(voided.lines, testing::Contains(HasSubstr("a stud was loose")));
  EXPECT_EQ(standing(Row().add(result_fact("pass")).add(Closed{"sold"})).headline,
            "CLOSED UNFINISHED: NO PASS");
}

TEST(JobReport, HoldsWhatAReaderNeeds) {
  Row row;
  row.before_stacking().stacked();
  const auto order = ResultFinding{"number.order", "fix", "number", {2, 3}, "slot 2 reads 3"};
  row.add(result_fact("fix", {order}));
  const int fix = row.last();
  row.add(ModulesLifted{{2, 3}, "swapped back", fix}).add(test::serials_fact());
  row.add(result_fact("retake", {unsure("number", {2})}, fix));
  row.add(confirmation(row.last(), 2, "2"), "A. Reader");
  row.stacked().bussed().add(Signed{}, "R. Second").add(Closed{});
  const std::string page = page_of(row);
  for (const char* text : {"Job FL-0142",
                           "short-4, 4 modules on the bench, 4 modules",
                           "blue one, Tuesday",
                           "2026-03-02 07:00:00 UTC",
                           "Check 1 of 2: FIX, no longer valid",
                           "Check 2 of 2: RETAKE, lifted by what a person reads",
                           "slot 2 reads 3",
                           "2026-03-02 09:30:00",
                           "checked: FIX (number.order: slot 2 reads 3)",
                           "lifted, slots 2, 3: swapped back",
                           "checked again: RETAKE",
                           "A. Reader reads number 2 on side number, slot 2; planned is 2.",
                           "It counts.",
                           "FL-603",
                           "read off the module",
                           "Insulation resistance to the case",
                           "5 MΩ",
                           "15.7, 15.8 V",
                           "CLOSED: PASS",
                           "signed by R. Second",
                           "entries 1 to 26",
                           "Caution: high voltage",
                           "Local codes, licensed practice",
                           "plumbstack " PLUMBSTACK_VERSION})
    EXPECT_THAT(page, HasSubstr(text));
  for (const KeptFile& file : {file_of("number.jpg"), file_of("vent.jpg"), file_of("crop.jpg"),
                               file_of("bussed.jpg"), file_of("plan.json")})
    EXPECT_THAT(page, HasSubstr("SHA-256 " + file.sha256)) << file.name;
  EXPECT_THAT(page, HasSubstr(std::string(64, 'a')));
}

TEST(JobReport, ACorrectionShowsBothFigures) {
  Row row;
  row.before_stacking().stacked().add(result_fact("pass")).bussed().tick("insulation", {0.001});
  const std::string tick = std::to_string(row.last()), after = std::to_string(row.last() + 1);
  row.add(FiguresCorrected{row.last(), "insulation", {0.001}, {5}, "MΩ read as GΩ"}, "A. Reader");
  row.add(Signed{}, "R. Second").add(Closed{});
  const std::string page = page_of(row);
  EXPECT_THAT(page, HasSubstr("CLOSED: PASS"));
  EXPECT_THAT(page, HasSubstr("Out of the ordinary"));
  EXPECT_THAT(page, HasSubstr("insulation of entry " + tick + " corrected by A. Reader"));
  EXPECT_THAT(page, HasSubstr("Corrected in entry " + after +
                              " by A. Reader: 0.001 MΩ was typed. MΩ read as GΩ"));
  EXPECT_THAT(page, HasSubstr("insulation: 0.001"));  // the entry itself
}

TEST(JobReport, TextOfPersonsIsOnlyText) {
  Row row;
  std::get<Opened>(row.entries[0].fact).customer = "<script>alert(1)</script> & \"co\"";
  row.entries[0].by = "O'Neil <b>";
  row.tick("condition", {}, "<img src=x onerror=y>");
  const std::string page = page_of(row);
  EXPECT_THAT(page, HasSubstr("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;co&quot;"));
  for (const char* text : {"<script", "<img src=x", "Neil <b>"})
    EXPECT_THAT(page, Not(HasSubstr(text)));
}

TEST(JobReport, AFileThatIsLostIsSaidToBe) {
  const Row row = closed_job();
  const auto lost = [](const KeptFile& file) -> Result<std::string> {
    return fail(ErrorCode::record_damaged, "is missing; " + file.name + " was kept there", "f");
  };
  const Error fault{ErrorCode::record_damaged, "is missing", "entry 1"};
  const std::string page = document_html(job_report({{row.entries, "", fault}, lost}));
  EXPECT_THAT(page, HasSubstr("number.jpg can&#39;t be shown: it is missing"));
  EXPECT_THAT(page, HasSubstr("NOT VERIFIED"));
}

TEST(JobReport, AReadingOutsideTheArithmeticIsNamed) {
  Row row;
  row.before_stacking().add(result_fact("pass")).tick("block-voltages", {14.4, 11.0});
  const std::string page = page_of(row);
  EXPECT_THAT(page, HasSubstr("11.00 ✗ outside"));
  EXPECT_THAT(page, HasSubstr("block 2 reads 11.000 V"));
  EXPECT_THAT(page, Not(HasSubstr("14.40 ✗ outside")));
}

TEST(JobReport, LongAndForeignTextMakesAPdfOnBothPapers) {
  Row row;
  auto& opened = std::get<Opened>(row.entries[0].fact);
  opened.customer = std::string(1500, 'W') + " 高橋 מיכל \n\t";
  row.tick("condition", {}, std::string(2000, 'x'));
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    const auto pdf = document_pdf(document_of(row), paper);
    ASSERT_TRUE(pdf) << pdf.error().message;
    EXPECT_EQ(*pdf, *document_pdf(document_of(row), paper));
  }
}

}  // namespace
}  // namespace plumbstack
