#include <gtest/gtest.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "check_fixture.hpp"
#include "plumbstack/record.hpp"

namespace plumbstack::test {
namespace {

constexpr int kBanner = 69;  // 0.115 of the photo's shorter side

// Pixels that differ from the photo by more than coding could explain.
cv::Mat changed(const cv::Mat& picture, const cv::Mat& photo) {
  cv::Mat difference, grey;
  cv::absdiff(picture, photo, difference);
  cv::transform(difference, grey, cv::Matx13f(1, 1, 1));
  return grey > 12;
}

// The strip without its rim, on which the outline lies.
cv::Rect inside_of(int slot) {
  return {388, 200 + 40 * (slot - 1) + 6, 224, 28};
}

// The strip with its rim.
cv::Rect around(int slot) {
  return {376, 200 + 40 * (slot - 1) - 4, 248, 48};
}

int median_grey(const cv::Mat& picture, cv::Rect part) {
  cv::Mat grey;
  cv::cvtColor(picture(part), grey, cv::COLOR_BGR2GRAY);
  std::vector<unsigned char> values(grey.begin<unsigned char>(), grey.end<unsigned char>());
  std::nth_element(values.begin(), values.begin() + static_cast<long>(values.size() / 2),
                   values.end());
  return values[values.size() / 2];
}

class AnnotatedPhoto : public testing::Test {
 protected:
  const Pack pack = fixture_pack();
  const cv::Mat photo = fixture_pixels();
};

TEST_F(AnnotatedPhoto, KeepsSizeAndKindOfThePhotoAndThePhotoItself) {
  const Check check = good_check(pack);
  const cv::Mat picture = annotated_photo(pack, check, 0);
  EXPECT_EQ(picture.size(), photo.size());
  EXPECT_EQ(picture.type(), CV_8UC3);
  EXPECT_EQ(cv::norm(check.photos[0].photo.pixels, photo, cv::NORM_INF), 0);
}

TEST_F(AnnotatedPhoto, NeverTouchesTheMarksOfAGoodStrip) {
  for (std::size_t side : {0u, 1u}) {
    const cv::Mat change = changed(annotated_photo(pack, swapped_check(pack), side), photo);
    for (int slot : {1, 3, 4, 6})
      EXPECT_EQ(cv::countNonZero(change(inside_of(slot))), 0)
          << "side " << side << " slot " << slot;
  }
}

TEST_F(AnnotatedPhoto, LabelsEveryStripAtBothEnds) {
  const cv::Mat change = changed(annotated_photo(pack, good_check(pack), 0), photo);
  for (int slot = 1; slot <= kSlots; ++slot) {
    const int y = 200 + 40 * (slot - 1);
    EXPECT_GT(cv::countNonZero(change(cv::Rect(300, y, 76, 40))), 300) << slot;
    EXPECT_GT(cv::countNonZero(change(cv::Rect(624, y, 120, 40))), 500) << slot;
  }
}

TEST_F(AnnotatedPhoto, MarksAWrongStripMoreHeavilyThanAGoodOne) {
  const cv::Mat change = changed(annotated_photo(pack, swapped_check(pack), 0), photo);
  const int wrong = cv::countNonZero(change(around(2)));
  const int good = cv::countNonZero(change(around(4)));
  EXPECT_GT(wrong, good * 3 / 2);
  // Its tag stands far out on the left, where a good strip has nothing.
  EXPECT_GT(cv::countNonZero(change(cv::Rect(0, 240, 290, 40))), 1000);
  EXPECT_EQ(cv::countNonZero(change(cv::Rect(0, 320, 290, 40))), 0);
}

TEST_F(AnnotatedPhoto, ShowsUnsureByAPatternOfItsOwn) {
  Check check = good_check(pack);
  check.judgement.findings = {
      {"number.unsure", Severity::retake, "number", {4}, "slot 4 can't be read", "clean it"}};
  const cv::Mat unsure = annotated_photo(pack, check, 0);
  check.judgement.findings[0].severity = Severity::fix;
  const cv::Mat wrong = annotated_photo(pack, check, 0);
  cv::Mat grey, grey_wrong;
  cv::cvtColor(unsure, grey, cv::COLOR_BGR2GRAY);
  cv::cvtColor(wrong, grey_wrong, cv::COLOR_BGR2GRAY);
  // Along its upper border a dashed line alternates between dark and light, an unbroken one not.
  const auto changes = [](const cv::Mat& line) {
    int count = 0;
    for (int x = 1; x < line.cols; ++x)
      count += (line.at<unsigned char>(x - 1) > 128) != (line.at<unsigned char>(x) > 128);
    return count;
  };
  const cv::Rect border(400, 320, 200, 1);
  EXPECT_GE(changes(grey(border)), 10);
  EXPECT_EQ(changes(grey_wrong(border)), 0);
}

TEST_F(AnnotatedPhoto, TellsTheVerdictsApartInGrey) {
  std::vector<int> greys;
  for (Verdict verdict : {Verdict::fix, Verdict::pass, Verdict::retake}) {
    Check check = good_check(pack);
    check.judgement.side_verdicts[0] = verdict;
    greys.push_back(median_grey(annotated_photo(pack, check, 0), {0, 0, 1000, kBanner}));
  }
  EXPECT_LT(greys[0] + 40, greys[1]);
  EXPECT_LT(greys[1] + 100, greys[2]);
}

TEST_F(AnnotatedPhoto, ShowsAnOffsetOnlyWhereItMatters) {
  Check check = good_check(pack);
  const cv::Mat without = annotated_photo(pack, check, 0);
  slot_of(check, 0, 3).stagger_mm = 1.4;
  const cv::Mat with = annotated_photo(pack, check, 0);
  const cv::Rect right_of_3(624, 280, 370, 40), right_of_4(624, 320, 370, 40);
  EXPECT_GT(cv::countNonZero(changed(with(right_of_3), without(right_of_3))), 100);
  EXPECT_EQ(cv::countNonZero(changed(with(right_of_4), without(right_of_4))), 0);
}

TEST_F(AnnotatedPhoto, HasOnlyTheBannerWhereNoStackWasFound) {
  const cv::Mat change = changed(annotated_photo(pack, stackless_check(pack), 0), photo);
  EXPECT_GT(cv::countNonZero(change.rowRange(0, kBanner)), kBanner * 900);
  EXPECT_EQ(cv::countNonZero(change.rowRange(kBanner + 1, change.rows)), 0);
}

TEST_F(AnnotatedPhoto, OutlinesTheStripsThatWereOnlyCounted) {
  Check check = good_check(pack);
  check.photos[0].evidence.marks.slots.clear();
  check.photos[0].frame->strips.pop_back();
  const cv::Mat change = changed(annotated_photo(pack, check, 0), photo);
  EXPECT_GT(cv::countNonZero(change(around(5))), 200);
  EXPECT_EQ(cv::countNonZero(change(cv::Rect(376, 410, 248, 40))), 0);  // the sixth is not there
}

TEST_F(AnnotatedPhoto, OfAHugePhotoIsNoLargerThanHelps) {
  Check check = stackless_check(pack);
  check.photos[0].photo.pixels = cv::Mat(5000, 6000, CV_8UC3, cv::Scalar::all(90));
  const cv::Mat picture = annotated_photo(pack, check, 0);
  EXPECT_LE(picture.total(), 12'600'000u);
  EXPECT_NEAR(static_cast<double>(picture.cols) / picture.rows, 1.2, 0.001);
}

TEST_F(AnnotatedPhoto, DrawsTinyAndOddPhotosToo) {
  for (cv::Size size : {cv::Size(1, 1), cv::Size(3, 900), cv::Size(640, 2)}) {
    Check check = good_check(pack);
    check.photos[0].photo.pixels = cv::Mat(size, CV_8UC3, cv::Scalar::all(90));
    EXPECT_EQ(annotated_photo(pack, check, 0).size(), size);
  }
}

}  // namespace
}  // namespace plumbstack::test
