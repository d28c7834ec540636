// What the photos of one stack say by themselves.
#include <gmock/gmock.h>

#include "judge_stacks.hpp"

namespace plumbstack {
namespace {

using test::with_code;
using testing::IsEmpty;
using testing::SizeIs;

struct Shots : testing::Test {
  Pack pack = test::four_sides(6);
  std::vector<SideEvidence> photos = test::photos_of(pack, test::right_stack(6));
  std::vector<Finding> found(const char* code) const {
    return with_code(judge(pack, photos), code);
  }
};

TEST_F(Shots, OnePhotoForTwoSidesKeepsTheStackFromPassing) {
  ASSERT_EQ(judge(pack, photos).verdict, Verdict::pass);
  for (std::size_t i = 0; i < photos.size(); ++i)
    photos[i].shot.sha256 = "photo" + std::to_string(i);
  EXPECT_EQ(judge(pack, photos).verdict, Verdict::pass);
  photos[3].shot.sha256 = photos[1].shot.sha256;
  const Judgement judgement = judge(pack, photos);
  EXPECT_EQ(judgement.verdict, Verdict::retake);
  EXPECT_EQ(judgement.side_verdicts[3], Verdict::pass);  // of its own side only
  ASSERT_THAT(found("photo.reused"), SizeIs(1));
  EXPECT_EQ(found("photo.reused")[0].message, "the photo of side b is the one of side vent again");
}

TEST_F(Shots, UnknownPhotosAreNotTheSame) {
  EXPECT_THAT(found("photo.reused"), IsEmpty());
}

TEST_F(Shots, MoreThanHalfAnHourApartIsNoted) {
  photos[0].shot.taken_at = "2026:02:28 23:50:00";
  photos[2].shot.taken_at = "2026:03:01 00:20:00";
  EXPECT_THAT(found("photo.apart"), IsEmpty());
  photos[3].shot.taken_at = "2026:03:01 00:20:01";
  ASSERT_THAT(found("photo.apart"), SizeIs(1));
  EXPECT_EQ(found("photo.apart")[0].message,
            "side number was photographed 30 minutes before side b");
  EXPECT_EQ(judge(pack, photos).verdict, Verdict::pass);
}

TEST_F(Shots, AClockThatWasNeverSetTellsNothing) {
  photos[0].shot.taken_at = "2026:02:28 12:00:00";
  for (const char* never :
       {"0000:00:00 00:00:00", "    :  :     :  :  ", "2026:02:30 12:00:00", ""}) {
    photos[1].shot.taken_at = never;
    EXPECT_THAT(found("photo.apart"), IsEmpty()) << never;
  }
}

}  // namespace
}  // namespace plumbstack
