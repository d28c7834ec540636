#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "check_fixture.hpp"
#include "files.hpp"
#include "plumbstack/record.hpp"

namespace plumbstack::test {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::UnorderedElementsAre;

std::vector<std::string> names_in(const fs::path& folder) {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    names.push_back(entry.path().filename().string());
  return names;
}

class RecordFiles : public testing::Test {
 protected:
  const Pack pack = fixture_pack();
  Check check = good_check(pack);
  ScratchFolder folder;
};

TEST_F(RecordFiles, AreAllThereAndNothingElse) {
  ASSERT_TRUE(write_record(folder.path(), pack, check));
  EXPECT_THAT(names_in(folder.path()),
              UnorderedElementsAre("result.json", "report.html", "number.annotated.jpg",
                                   "vent.annotated.jpg"));
  EXPECT_EQ(nlohmann::ordered_json::parse(read_text(folder.path() / "result.json")),
            result_json(pack, check));
  EXPECT_EQ(cv::imread((folder.path() / "vent.annotated.jpg").string()).size(),
            cv::Size(1000, 600));
}

TEST_F(RecordFiles, ReplaceThoseOfAnEarlierRun) {
  ASSERT_TRUE(write_record(folder.path(), pack, check));
  ASSERT_TRUE(write_record(folder.path(), pack, swapped_check(pack)));
  EXPECT_EQ(nlohmann::json::parse(read_text(folder.path() / "result.json"))["verdict"], "fix");
  EXPECT_EQ(names_in(folder.path()).size(), 4u);
}

TEST_F(RecordFiles, OfPhotosWithOneStemHaveNamesOfTheirOwn) {
  check.photos.push_back(check.photos[1]);
  check.photos[0].photo.file = "a/side.jpg";
  check.photos[1].photo.file = "b/side-2.png";
  check.photos[2].photo.file = "b/side.heic";
  EXPECT_THAT(picture_names(check),
              ElementsAre("side.annotated.jpg", "side-2.annotated.jpg", "side-3.annotated.jpg"));
}

TEST_F(RecordFiles, SurviveAFileNameThatIsNotUtf8) {
  check.photos[0].photo.file = "caf\xe9.jpg";
  ASSERT_TRUE(write_record(folder.path(), pack, check));
  EXPECT_TRUE(fs::exists(folder.path() / "caf\xe9.annotated.jpg"));
  EXPECT_NO_THROW(nlohmann::json::parse(read_text(folder.path() / "result.json")));
}

TEST_F(RecordFiles, NameThePathThatCannotBeWritten) {
  const fs::path missing = folder.path() / "gone";
  const auto written = write_record(missing, pack, check);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().code, ErrorCode::output_unwritable);
  EXPECT_EQ(written.error().where, (missing / "number.annotated.jpg").string());
  EXPECT_THAT(written.error().message, testing::HasSubstr("No such file"));
  EXPECT_FALSE(fs::exists(missing));
}

// A folder in the place of the last file lets every step but the last succeed.
TEST_F(RecordFiles, LeaveNothingBehindWhenTheLastStepFails) {
  fs::create_directories(folder.path() / "result.json" / "in the way");
  const auto written = write_record(folder.path(), pack, check);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().code, ErrorCode::output_unwritable);
  EXPECT_EQ(written.error().where, (folder.path() / "result.json").string());
  EXPECT_THAT(names_in(folder.path()), ElementsAre("result.json"));
}

TEST(RetireOldResult, MovesItOutOfTheWay) {
  const ScratchFolder folder;
  folder.write("result.previous.json", std::string("oldest"));
  folder.write("result.json", std::string("old"));
  ASSERT_TRUE(retire_old_result(folder.path()));
  EXPECT_FALSE(fs::exists(folder.path() / "result.json"));
  EXPECT_EQ(read_text(folder.path() / "result.previous.json"), "old");
}

TEST(RetireOldResult, HasNothingToDoInAFreshFolder) {
  const ScratchFolder folder;
  EXPECT_TRUE(retire_old_result(folder.path()));
  EXPECT_TRUE(retire_old_result(folder.path() / "not yet there"));
  EXPECT_TRUE(names_in(folder.path()).empty());
}

TEST(RetireOldResult, SaysWhenAnOldVerdictWouldStay) {
  const ScratchFolder folder;
  folder.write("result.json", std::string("old"));
  fs::create_directories(folder.path() / "result.previous.json" / "in the way");
  const auto retired = retire_old_result(folder.path());
  ASSERT_FALSE(retired);
  EXPECT_EQ(retired.error().code, ErrorCode::output_unwritable);
  EXPECT_EQ(retired.error().where, (folder.path() / "result.json").string());
}

}  // namespace
}  // namespace plumbstack::test
