// Plans and results read again: what is odd is refused with its path. (Signs and voltages made from
// them: electrical_files_test.cpp; entries of a job: job_documents_test.cpp.)
#include "plumbstack/documents.hpp"

#include <gmock/gmock.h>

#include <functional>
#include <nlohmann/json.hpp>

namespace plumbstack {
namespace {

using Document = nlohmann::json;
using testing::HasSubstr;

Pack two_modules() {
  Pack pack;
  pack.id = "short-2";
  pack.modules = 2;
  pack.sides = {{"number", 200, NumberRule{1, End::right, 0}, std::nullopt, std::nullopt}};
  return pack;
}

Document plan() {
  return {{"schema", "plumbstack/plan/1"},
          {"pack", "short-2"},
          {"slots",
           {{{"slot", 1}, {"number", 1}, {"serial", "A"}},
            {{"slot", 2}, {"number", 2}, {"serial", "B"}}}}};
}

Document result() {
  const Document face = {{0, 0}, {9, 0}, {9, 3}, {0, 3}};
  const Document number = {{"text", "1"}, {"confidence", 0.97}};
  return {{"schema", "plumbstack/result/1"},
          {"pack", "short-2"},
          {"verdict", "retake"},
          {"trust_bar", {{"number", 0.95}, {"vent", 0.99}, {"sign", 0.98}}},
          {"photos",
           {{{"file", "a.jpg"},
             {"sha256", std::string(64, 'a')},
             {"side", "number"},
             {"verdict", "retake"},
             {"taken_at", "2026:03:02 09:30:00"},
             {"stack", {{"slot_1_at", "top"}, {"modules", 2}}},
             {"slots",
              {{{"slot", 1}, {"seen", true}, {"face", face}, {"number", number}},
               {{"slot", 2}, {"seen", false}}}}}}},
          {"findings",
           {{{"code", "number.unsure"},
             {"severity", "retake"},
             {"side", "number"},
             {"slots", {2}},
             {"message", "covered"}}}},
          {"missing_sides", Document::array()}};
}

using Change = std::function<void(Document&)>;

std::string fault_of_plan(const Change& change) {
  Document json = plan();
  change(json);
  const auto read = parse_planned_modules(json.dump(), "p", two_modules());
  return read ? "" : read.error().message;
}
std::string fault_of_result(const Change& change) {
  Document json = result();
  change(json);
  const auto read = parse_check_result(json.dump(), "r", two_modules());
  return read ? "" : read.error().message;
}

TEST(PlannedModules, NoTwoAreOne) {
  EXPECT_EQ(fault_of_plan([](Document&) {}), "");
  EXPECT_EQ(fault_of_plan([](Document& json) { json["slots"][1]["serial"] = "A"; }),
            "slots.1.serial stands in another slot already (A)");
  EXPECT_EQ(fault_of_plan([](Document& json) { json["slots"][0]["serial"] = "A\x1d"; }),
            "slots.0.serial holds a control character");
}

TEST(CheckResult, HoldsWhatTheDocumentSays) {
  const auto read = parse_check_result(result().dump(), "r", two_modules());
  ASSERT_TRUE(read) << read.error().message;
  EXPECT_EQ(read->verdict, "retake");
  EXPECT_EQ(read->vent_bar, 0.99);
  const ReadPhoto& photo = read->photos.at(0);
  EXPECT_EQ(photo.file, "a.jpg");
  EXPECT_EQ(photo.sha256, std::string(64, 'a'));
  EXPECT_EQ(photo.taken_at, "2026:03:02 09:30:00");
  EXPECT_TRUE(photo.slots_named);
  EXPECT_EQ(photo.slots.at(0).number->says, "1");
  EXPECT_EQ(photo.slots.at(0).number->confidence, 0.97);
  EXPECT_EQ((*photo.slots[0].face)[2], cv::Point2d(9, 3));
  EXPECT_FALSE(photo.slots.at(1).seen);
  EXPECT_FALSE(photo.slots[1].number);
  EXPECT_EQ(read->findings.at(0).code, "number.unsure");
  EXPECT_EQ(read->findings[0].slots, std::vector<int>{2});
}

TEST(CheckResult, WhatIsOddIsRefusedWithItsPath) {
  const auto photo = [](Document& json) -> Document& { return json["photos"][0]; };
  const std::pair<Change, const char*> faults[] = {
      {[](Document& json) { json["schema"] = "plumbstack/result/2"; }, "is of a newer version"},
      {[](Document& json) { json["schema"] = "plumbstack/plan/1"; }, "schema must be"},
      {[](Document& json) { json["pack"] = "long-34"; }, "is of the pack long-34"},
      {[](Document& json) { json["verdict"] = "sure"; }, "verdict must be pass, fix or retake"},
      {[](Document& json) { json.erase("trust_bar"); }, "trust_bar is missing"},
      {[](Document& json) { json.erase("photos"); }, "photos must be a list"},
      {[](Document& json) { json["findings"] = 3; }, "findings must be a list"},
      {[](Document& json) { json["findings"][0].erase("message"); }, "findings.0.message"},
      {[](Document& json) { json["findings"][0]["severity"] = "bad"; }, "findings.0.severity"},
      {[](Document& json) { json["findings"][0]["slots"] = {"2"}; }, "findings.0.slots must be"},
      {[=](Document& json) { photo(json)["sha256"] = "A"; }, "photos.0.sha256 must be 64"},
      {[=](Document& json) { photo(json)["side"] = "top"; }, "photos.0.side must be a side"},
      {[=](Document& json) { photo(json)["slots"].erase(1); }, "photos.0.slots must be a list"},
      {[=](Document& json) { photo(json)["slots"] = nullptr; }, "photos.0.slots must be a list"},
      {[=](Document& json) {
         photo(json)["slots"][0]["face"] = {1, 2};
       },
       "must be four corners"},
      {[=](Document& json) { photo(json)["slots"][0]["number"]["confidence"] = 2; },
       "photos.0.slots.0.number.confidence"}};
  EXPECT_EQ(fault_of_result([](Document&) {}), "");
  for (const auto& [change, words] : faults) EXPECT_THAT(fault_of_result(change), HasSubstr(words));
  for (const char* text : {"", "{", "3", "[]", "\xff"})
    EXPECT_FALSE(parse_check_result(text, "r", two_modules())) << text;
}

}  // namespace
}  // namespace plumbstack
