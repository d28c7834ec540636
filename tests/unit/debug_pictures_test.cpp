// One numbered picture a stage, in a folder for each photo.
#include "debug_pictures.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <opencv2/imgcodecs.hpp>

#include "check_fixture.hpp"
#include "files.hpp"

namespace plumbstack {
namespace {

using test::ScratchFolder;

Nets nets() {
  auto loaded = load_nets(std::string(PLUMBSTACK_SOURCE_DIR) + "/models/nets");
  if (!loaded) throw std::runtime_error(loaded.error().message);
  return std::move(*loaded);
}

FoundStack found_stack() {
  FoundStack found;
  found.frame = test::fixture_frame();
  found.maps.px_per_mm = 1;
  found.maps.planes.assign(kFacePlanes, cv::Mat(160, 160, CV_32F, cv::Scalar(0)));
  return found;
}

Result<void> write_all(DebugPictures& debug, const Pack& pack, const Check& check, Nets& nets) {
  for (const CheckedPhoto& checked : check.photos) {
    const FoundStack found = found_stack();
    debug.photo(checked.photo);
    debug.stack(checked.photo, found, nets);
    debug.strips(cut_strips(checked.photo, found.frame));
    debug.marks(checked.photo, found.frame, checked.evidence.marks);
  }
  return debug.finish(pack, check);
}

TEST(DebugPictures, OnePictureAStageForEachPhoto) {
  const ScratchFolder folder;
  const Pack pack = test::fixture_pack();
  Check check = test::good_check(pack);
  cv::resize(check.photos[0].photo.pixels, check.photos[0].photo.pixels, {2400, 1440});
  Nets loaded = nets();
  DebugPictures debug(folder.path() / "debug");
  ASSERT_TRUE(write_all(debug, pack, check, loaded));
  for (const char* photo : {"1_number", "2_vent"})
    for (const char* name :
         {"1_photo.jpg", "2_stack.jpg", "3_strips.jpg", "4_marks.jpg", "5_verdict.jpg"}) {
      const cv::Mat picture = cv::imread((folder.path() / "debug" / photo / name).string());
      ASSERT_FALSE(picture.empty()) << photo << "/" << name;
      EXPECT_LE(std::max(picture.cols, picture.rows), 1600) << photo << "/" << name;
      cv::Scalar mean, spread;
      cv::meanStdDev(picture, mean, spread);
      EXPECT_GT(spread[0], 3) << photo << "/" << name << " shows nothing";
    }
  EXPECT_THAT(test::read_text(folder.path() / "debug/durations.txt"),
              testing::AllOf(testing::HasSubstr("decode 61.0 ms\n"),
                             testing::HasSubstr("total 412.3 ms\n")));
}

TEST(DebugPictures, WithoutAStackTheFinderIsShown) {
  const ScratchFolder folder;
  const Pack pack = test::fixture_pack();
  const Check check = test::stackless_check(pack);
  Nets loaded = nets();
  DebugPictures debug(folder.path());
  debug.photo(check.photos[0].photo);
  debug.stack(check.photos[0].photo, std::nullopt, loaded);
  ASSERT_TRUE(debug.finish(pack, check));
  const auto photo = folder.path() / "1_number";
  for (const char* name : {"1_photo.jpg", "2_stack.jpg", "5_verdict.jpg"})
    EXPECT_TRUE(std::filesystem::exists(photo / name)) << name;
  for (const char* name : {"3_strips.jpg", "4_marks.jpg"})
    EXPECT_FALSE(std::filesystem::exists(photo / name)) << name;
}

TEST(DebugPictures, WithoutAFolderNothingIsWritten) {
  const Pack pack = test::fixture_pack();
  const Check check = test::good_check(pack);
  DebugPictures debug({});
  debug.photo(check.photos[0].photo);
  debug.strips({});
  EXPECT_TRUE(debug.finish(pack, check));
}

TEST(DebugPictures, AFolderThatCantBeWrittenIsAnError) {
  const ScratchFolder folder;
  const auto file = folder.write("file", std::string("no folder"));
  const Pack pack = test::fixture_pack();
  const Check check = test::good_check(pack);
  DebugPictures debug(file);
  debug.photo(check.photos[0].photo);
  const Result<void> written = debug.finish(pack, check);
  ASSERT_FALSE(written);
  EXPECT_EQ(written.error().code, ErrorCode::output_unwritable);
}

TEST(DrawStrips, ShowsAStripOutsideThePhotoAsAnEmptyRow) {
  std::vector<StripCut> strips(3);
  EXPECT_FALSE(draw_strips(strips).empty());
  EXPECT_TRUE(draw_strips({}).empty());
}

}  // namespace
}  // namespace plumbstack
