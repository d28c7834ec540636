// Plans, results, check lists as files; the picture from which a person confirms.
#include "plumbstack/job_documents.hpp"

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "job_fixture.hpp"

namespace plumbstack {
namespace {

using Json = nlohmann::json;
using testing::HasSubstr;

Json face(int slot) {
  const int y = 100 * slot;
  return {{100, y}, {500, y}, {500, y + 40}, {100, y + 40}};
}

Json result_json(const std::string& verdict, const Json& findings) {
  Json slots = Json::array();
  for (int slot = 1; slot <= 4; ++slot)
    slots.push_back({{"slot", slot}, {"seen", slot != 4}, {"face", face(slot)}});
  return {{"schema", "plumbstack/result/1"},
          {"pack", "short-4"},
          {"verdict", verdict},
          {"trust_bar", {{"number", 0.95}, {"vent", 0.99}, {"sign", 0.98}}},
          {"photos",
           {{{"file", "a.jpg"},
             {"sha256", std::string(64, 'a')},
             {"side", "number"},
             {"verdict", verdict},
             {"slots", slots}}}},
          {"findings", findings}};
}

Json finding(const std::string& code, const std::string& severity, std::vector<int> slots) {
  return {{"code", code},   {"severity", severity},  {"side", "number"},
          {"slots", slots}, {"message", "so it is"}, {"action", "look"}};
}

TEST(PlannedSlots, StandInTheirOrder) {
  const auto slots = planned_slots({{11, "A", std::nullopt}, {12, "B", 7.8}});
  ASSERT_EQ(slots.size(), 2u);
  EXPECT_EQ(slots[1].slot, 2);
  EXPECT_EQ(slots[1].number, 12);
  EXPECT_EQ(slots[1].serial, "B");
}

Result<ResultAttached> attached(const Json& json) {
  const auto read = parse_check_result(json.dump(), "r", test::job_pack());
  if (!read) return tl::unexpected(read.error());
  return attached_result(*read, "r");
}

TEST(AttachedResult, SaysWhatItsFindingsBearOut) {
  const Json fix = finding("number.order", "fix", {2});
  const Json retake = finding("number.unsure", "retake", {2});
  EXPECT_TRUE(attached(result_json("pass", Json::array())));
  EXPECT_TRUE(attached(result_json("fix", {fix, retake})));
  EXPECT_FALSE(attached(result_json("pass", Json::array({fix}))));
  EXPECT_FALSE(attached(result_json("retake", Json::array({fix}))));
  EXPECT_FALSE(attached(result_json("pass", Json::array({retake}))));
  EXPECT_FALSE(attached(result_json("sure", Json::array())));
  Json missing = result_json("pass", Json::array());
  missing["missing_sides"] = {"vent"};
  EXPECT_FALSE(attached(missing));
  Json bare = result_json("pass", Json::array());
  bare["photos"] = Json::array();
  EXPECT_FALSE(attached(bare));
}

TEST(UnsureReadings, AreThoseAPersonCanSee) {
  Pack pack = test::job_pack();
  const Json findings = {finding("number.unsure", "retake", {2, 4}),
                         finding("vent.unsure", "retake", {1}), finding("number.order", "fix", {3}),
                         finding("number.unsure", "note", {1})};
  const auto read = parse_check_result(result_json("fix", findings).dump(), "r", pack);
  ASSERT_TRUE(read) << read.error().message;
  const auto readings = unsure_readings(*read, pack);
  // Slot 4 is not seen, and this side has no vents.
  ASSERT_EQ(readings.size(), 1u);
  EXPECT_EQ(readings[0].slot, 2);
  EXPECT_EQ(readings[0].planned, "2");
  EXPECT_EQ(readings[0].turn_deg, 180);
  EXPECT_EQ(picture_name(readings[0]), "number-slot-02-number.jpg");
}

TEST(ConfirmationPicture, ShowsTheStripUprightBetweenItsLines) {
  // The strip is green at its left and red at its right end; turned by half a turn these swap.
  cv::Mat photo(600, 600, CV_8UC3, cv::Scalar::all(90));
  cv::rectangle(photo, {100, 200, 60, 40}, {0, 255, 0}, cv::FILLED);
  cv::rectangle(photo, {440, 200, 60, 40}, {0, 0, 255}, cv::FILLED);
  UnsureReading reading{"number", 2, "number", "2", "which number?", {}, 180};
  reading.face_in_photo = {cv::Point2d(100, 200), {500, 200}, {500, 240}, {100, 240}};
  const auto bytes = confirmation_picture(photo, reading);
  EXPECT_EQ(bytes, confirmation_picture(photo, reading));
  const cv::Mat picture = cv::imdecode(bytes, cv::IMREAD_COLOR);
  ASSERT_GE(picture.cols, 700);
  const int middle = static_cast<int>(70 * 0.75 + 35);  // 700 px long, so 70 px thick
  const cv::Vec3b left = picture.at<cv::Vec3b>(middle, picture.cols / 2 - 320);
  const cv::Vec3b right = picture.at<cv::Vec3b>(middle, picture.cols / 2 + 320);
  EXPECT_GT(left[2], 200);
  EXPECT_GT(right[1], 200);
}

TEST(CheckList, TheDefaultAsksForThePacksOwnFigures) {
  std::map<std::string, CheckLine> lines;
  for (const CheckLine& line : default_check_list(test::job_pack())) lines[line.id] = line;
  EXPECT_EQ(lines.size(), 16u);
  EXPECT_EQ(lines["module-voltages"].count, 4);
  EXPECT_NEAR(*lines["module-voltages"].spread, 0.05, 1e-12);
  EXPECT_NEAR(*lines["module-voltages"].least, 6 * 1.2 * 0.9, 1e-9);
  EXPECT_NEAR(*lines["module-voltages"].most, 6 * 1.4, 1e-9);
  EXPECT_NEAR(*lines["compressed-length"].least, 4 * 20 * 0.9, 1e-9);
  EXPECT_GT(*lines["end-plate-torque"].least, 0);
  EXPECT_EQ(lines["block-voltages"].count, 2);
  // Two modules of 6 cells: 1.08 V to 1.4 V a cell; matched to 50 mV a module.
  EXPECT_NEAR(*lines["block-voltages"].least, 2 * 6 * 1.2 * 0.9, 1e-9);
  EXPECT_NEAR(*lines["block-voltages"].most, 2 * 6 * 1.4, 1e-9);
  EXPECT_NEAR(*lines["block-voltages"].spread, 0.1, 1e-9);
  EXPECT_NEAR(*lines["bus-nuts"].least, 5.58, 1e-9);
  EXPECT_NEAR(*lines["bus-nuts"].most, 6.82, 1e-9);
  // 4 modules of 6 cells at 1.4 V, 500 ohm a volt.
  EXPECT_NEAR(*lines["insulation"].least, 4 * 6 * 1.4 * 500 / 1e6, 1e-12);
}

TEST(CheckList, AShopsOwnIsReadStrictly) {
  const Json pass = {{"id", "photos"}, {"text", "pass"}, {"stage", "stacked"}, {"answer", "pass"}};
  const Json length = {{"id", "length"},      {"text", "Length"}, {"stage", "stacked"},
                       {"answer", "figures"}, {"unit", "mm"},     {"least", 80}};
  const auto list = [](const Json& lines) {
    return Json{{"schema", "plumbstack/check-list/1"}, {"lines", lines}}.dump();
  };
  const auto good = parse_check_list(list({pass, length}), "l");
  ASSERT_TRUE(good) << good.error().message;
  EXPECT_EQ((*good)[1].least, 80);
  EXPECT_FALSE(parse_check_list(list({length}), "l"));
  EXPECT_FALSE(parse_check_list(list({pass, pass}), "l"));
  EXPECT_FALSE(parse_check_list("{}", "l"));
  EXPECT_FALSE(parse_check_list("no", "l"));
  for (const auto& [key, value] : std::map<std::string, Json>{
           {"id", "Two words"}, {"stage", "later"}, {"unit", ""}, {"odd", 1}}) {
    Json changed = length;
    changed[key] = value;
    EXPECT_FALSE(parse_check_list(list({pass, changed}), "l")) << key;
  }
}

}  // namespace
}  // namespace plumbstack
