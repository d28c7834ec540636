// The second reader on drawn digits, and what its word does to the trust in the first one.
#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "files.hpp"
#include "second_opinion.hpp"

namespace plumbstack {
namespace {

constexpr double kTextPx = 44;

// Digits on even ground with the margins of a real crop, grey levels as given.
cv::Mat drawn(const std::string& text, int ink = 40, int ground = 190) {
  const double scale = 2;
  int below = 0;
  const cv::Size size = cv::getTextSize(text, cv::FONT_HERSHEY_DUPLEX, scale, 4, &below);
  const int beside = cvRound(kGroundBeside * kTextPx), above = cvRound(kGroundAbove * kTextPx);
  cv::Mat grey(size.height + 2 * above, size.width + 2 * beside, CV_8UC1, cv::Scalar(ground));
  cv::putText(grey, text, {beside, above + size.height}, cv::FONT_HERSHEY_DUPLEX, scale,
              cv::Scalar(ink), 4, cv::LINE_AA);
  return grey;
}

cv::Mat half_turned(const cv::Mat& grey) {
  cv::Mat turned;
  cv::rotate(grey, turned, cv::ROTATE_180);
  return turned;
}

std::string read(TesseractReader& reader, const cv::Mat& grey) {
  const auto reading = reader.read(grey, kTextPx);
  return reading ? reading->text : "";
}

TEST(SecondReader, ReadsPrintedDigitsOfEitherTone) {
  TesseractReader reader;
  for (const char* text : {"2", "8", "15", "23", "34", "36", "128"}) {
    EXPECT_EQ(read(reader, drawn(text)), text);
    EXPECT_EQ(read(reader, drawn(text, 235, 70)), text);
  }
  EXPECT_EQ(reader.note(), "");
}

TEST(SecondReader, AnswersNothingRatherThanSomethingWrong) {
  TesseractReader reader;
  int right = 0;
  for (int number = 1; number <= 40; ++number) {
    const std::string said = read(reader, drawn(std::to_string(number)));
    const bool reads = said == std::to_string(number);
    EXPECT_TRUE(said.empty() || reads) << said << " for " << number;
    right += reads;
  }
  EXPECT_GE(right, 30);
}

TEST(SecondReader, BlankAndNoiseGiveNothing) {
  TesseractReader reader;
  EXPECT_FALSE(reader.read({}, kTextPx));
  EXPECT_FALSE(reader.read(cv::Mat(70, 110, CV_8UC1, cv::Scalar(128)), kTextPx));
  cv::RNG dice(7);
  for (int i = 0; i < 10; ++i) {
    cv::Mat noise(70, 110, CV_8UC1);
    dice.fill(noise, cv::RNG::NORMAL, 128, 20);
    EXPECT_FALSE(reader.read(noise, kTextPx)) << "noise " << i;
  }
}

// One crop can't tell which way round 6 and 9 stand: each way is read as it shows.
TEST(SecondReader, ReadsEachWayRoundAsItShows) {
  TesseractReader reader;
  EXPECT_EQ(read(reader, drawn("98")), "98");
  EXPECT_EQ(read(reader, half_turned(drawn("98"))), "86");
  EXPECT_EQ(read(reader, drawn("86")), "86");
  EXPECT_EQ(read(reader, half_turned(drawn("86"))), "98");
}

// A neighbour digit that the crop cuts: what is left of the number is not the number.
TEST(SecondReader, IsSilentWhereTheNumberGoesOnBeyondTheCrop) {
  TesseractReader reader;
  const cv::Mat whole = drawn("238");
  EXPECT_EQ(read(reader, whole), "238");
  EXPECT_EQ(read(reader, whole(cv::Rect(0, 0, whole.cols - 33, whole.rows))), "");
}

TEST(SecondReader, SaysWhyWhereItsDataIsMissing) {
  const test::ScratchFolder folder;
  TesseractReader reader({.data_folder = folder.path()});
  EXPECT_EQ(reader.note(), "");  // not started yet
  EXPECT_FALSE(reader.read(drawn("23"), kTextPx));
  EXPECT_NE(reader.note().find("eng.traineddata"), std::string::npos);
  EXPECT_FALSE(reader.read(drawn("23"), kTextPx));
}

TEST(SecondReader, SaysWhyWhereItsDataIsDamaged) {
  const test::ScratchFolder folder;
  folder.write("eng.traineddata", std::string("no such thing"));
  TesseractReader reader({.data_folder = folder.path()});
  EXPECT_FALSE(reader.read(drawn("23"), kTextPx));
  EXPECT_NE(reader.note().find("eng.traineddata"), std::string::npos);
}

// Answers as told and counts how often it is asked.
class Told final : public SecondReader {
 public:
  std::optional<SecondReading> read(const cv::Mat&, double) override {
    ++asked;
    return answer;
  }
  std::string note() const override { return trouble; }

  std::optional<SecondReading> answer;
  std::string trouble;
  int asked = 0;
};

class TwoReadersTest : public testing::Test {
 protected:
  double confidence_at(double score) {
    const TwoReaders both{photo, view, calibrations, 0.995, told};
    return both.confidence(writing, 0, {"12", score});
  }
  static Calibrations measured() {
    Calibrations all;
    all.number.rows = {{0, 0.2}, {0.8, 0.9}, {1, 0.998}};
    all.second.agrees.rows = {{0.3, 0.9}, {0.5, 0.999}};
    all.second.silent.rows = {{0, 0.1}, {1, 0.97}};
    all.second.disagrees.rows = {{0, 0.05}, {1, 0.6}};
    return all;
  }

  TwoReadersTest() {
    photo.pixels = cv::Mat(100, 100, CV_8UC3, cv::Scalar::all(128));
    writing.centre_mm = {50, 50}, writing.length_mm = 20, writing.height_mm = 10;
  }

  Photo photo;
  PlaneView view;
  Writing writing;
  Calibrations calibrations = measured();
  Told told;
};

TEST_F(TwoReadersTest, ASureFirstReaderIsNotAskedAbout) {
  EXPECT_DOUBLE_EQ(confidence_at(1), 0.998);
  EXPECT_EQ(told.asked, 0);
}

TEST_F(TwoReadersTest, AgreementRaisesDisagreementLowers) {
  const double alone = calibrations.number.look_up(0.8);
  told.answer = SecondReading{"12", 3};
  EXPECT_DOUBLE_EQ(confidence_at(0.8), 0.999);
  told.answer = SecondReading{"17", 3};
  EXPECT_LT(confidence_at(0.8), alone);
  told.answer.reset();
  EXPECT_LT(confidence_at(0.8), alone);
  EXPECT_EQ(told.asked, 3);
}

TEST_F(TwoReadersTest, NobodyIsAskedWhereAgreementWouldNotBeEnough) {
  EXPECT_DOUBLE_EQ(confidence_at(0.4), calibrations.number.look_up(0.4));
  EXPECT_EQ(told.asked, 0);
}

TEST_F(TwoReadersTest, NobodyIsAskedAboutWhatIsPartlyHidden) {
  told.answer = SecondReading{"12", 3};
  writing.covered = 0.2;
  EXPECT_DOUBLE_EQ(confidence_at(0.8), calibrations.number.look_up(0.8));
  EXPECT_EQ(told.asked, 0);
}

TEST_F(TwoReadersTest, WithoutAMeasuredTableNobodyIsAsked) {
  calibrations.second = {};
  EXPECT_DOUBLE_EQ(confidence_at(0.8), calibrations.number.look_up(0.8));
  EXPECT_EQ(told.asked, 0);
}

TEST_F(TwoReadersTest, AReaderThatCouldNotStartChangesNothing) {
  told.trouble = "no second opinion";
  EXPECT_DOUBLE_EQ(confidence_at(0.8), calibrations.number.look_up(0.8));
}

}  // namespace
}  // namespace plumbstack
