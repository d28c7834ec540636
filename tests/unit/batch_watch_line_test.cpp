#include <gtest/gtest.h>

#include "watch_line.hpp"

namespace plumbstack {
namespace {

BatchEntry entry(const char* result) {
  return {"FL-1", "", nlohmann::ordered_json::parse(result), nullptr, "", {}};
}

TEST(WatchLine, TellsTheWorstFirstAndWhatIsMissing) {
  EXPECT_EQ(watch_line(entry(R"({"verdict": "pass", "findings": [
      {"code": "stagger.near", "severity": "note", "message": "m"}], "missing_sides": []})")),
            "FL-1: pass");
  EXPECT_EQ(watch_line(entry(R"({"verdict": "retake", "missing_sides": ["vent", "number"]})")),
            "FL-1: retake: no photo of vent, number");
  EXPECT_EQ(watch_line(entry(R"({"verdict": "fix", "missing_sides": ["vent"], "findings": [
      {"severity": "retake", "side": "number", "message": "slot 1 is not read"},
      {"severity": "note", "side": "number", "message": "n"},
      {"severity": "fix", "side": "number", "message": "slot 7 reads 9"}]})")),
            "FL-1: fix: number: slot 7 reads 9 (and 1 more); no photo of vent");
  EXPECT_EQ(watch_line(entry(R"({"verdict": "retake", "missing_sides": [], "findings": [
      {"severity": "retake", "message": "sides differ"}]})")),
            "FL-1: retake: sides differ");
}

TEST(WatchLine, TellsWhyAStackCouldNotBeChecked) {
  EXPECT_EQ(watch_line({"FL-1", "", nullptr, nullptr, "a.jpg: is empty", {}}),
            "FL-1: unread: a.jpg: is empty");
}

}  // namespace
}  // namespace plumbstack
