// The figures of a strip on pictures whose blur, light and glare are known exactly.
#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

// Steps of a grey picture across its rows, blurred by a Gaussian exactly (the step's integral), not
// by filtering a picture. Steps lie `apart` px from each other, at all places between the pixels.
cv::Mat steps(cv::Size size, double sigma, double contrast, double apart) {
  cv::Mat picture(size, CV_8U);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      double level = 128 - contrast / 2;
      const double shift = 0.13 * y;
      for (int k = 0; k * apart < 2 * size.width; ++k) {
        const double at = k * apart + shift - 20;
        level +=
            (k % 2 ? -1 : 1) * contrast * 0.5 * (1 + std::erf((x - at) / (std::sqrt(2.0) * sigma)));
      }
      picture.at<uchar>(y, x) = cv::saturate_cast<uchar>(level);
    }
  return picture;
}

class EdgeSigma : public testing::TestWithParam<double> {};

TEST_P(EdgeSigma, OfAStepIsMeasured) {
  const double sigma = GetParam();
  const cv::Mat picture = steps({900, 60}, sigma, 90, 16 + 12 * sigma);
  EXPECT_NEAR(edge_sigma(picture), sigma, 0.15 * sigma);
}

TEST_P(EdgeSigma, DoesNotDependOnContrast) {
  const double sigma = GetParam(), apart = 16 + 12 * sigma;
  const double strong = edge_sigma(steps({900, 60}, sigma, 200, apart));
  EXPECT_NEAR(edge_sigma(steps({900, 60}, sigma, 50, apart)), strong, 0.1 * sigma);
}

INSTANTIATE_TEST_SUITE_P(Sigmas, EdgeSigma, testing::Values(0.7, 1.0, 1.5, 2.0, 3.0, 5.0));

TEST(EdgeSigmaOf, NoisyStepsStaysNear) {
  cv::Mat picture = steps({900, 60}, 1.5, 120, 34), noise(picture.size(), CV_16S), sum;
  cv::RNG(7).fill(noise, cv::RNG::NORMAL, 0, 4);
  cv::add(picture, noise, sum, cv::noArray(), CV_8U);
  EXPECT_NEAR(edge_sigma(sum), 1.5, 0.15 * 1.5);
}

TEST(EdgeSigmaOf, PlainOrTinyPictureIsUnknown) {
  EXPECT_EQ(edge_sigma(cv::Mat(60, 900, CV_8U, cv::Scalar(90))), 0);
  EXPECT_EQ(edge_sigma(cv::Mat(3, 5, CV_8U, cv::Scalar(90))), 0);
}

// A side of four strips of 120 x 20 mm, 5 px per mm, its corner at (50, 40) in the photo.
constexpr double kPxPerMm = 5;

StackFrame four_strips() {
  StackFrame frame;
  frame.view.photo_from_stack = {kPxPerMm, 0, 50, 0, kPxPerMm, 40, 0, 0, 1};
  frame.view.centre = {350, 250};
  frame.view.half_diagonal = 430;
  for (int i = 0; i < 4; ++i) {
    StripPlace place;
    place.top_mm = 20 * i, place.bottom_mm = 20 * (i + 1), place.right_mm = 120;
    frame.strips.push_back(place);
  }
  return frame;
}

// Grey strips with dark grooves between them and dark studs on them.
Photo side_photo(double grey) {
  Photo photo;
  photo.pixels = cv::Mat(500, 700, CV_8UC3, cv::Scalar::all(grey));
  for (int i = 0; i <= 4; ++i)
    cv::rectangle(photo.pixels, {50, 37 + 100 * i}, {650, 43 + 100 * i}, cv::Scalar::all(20), -1);
  for (int i = 0; i < 4; ++i)
    for (int k = 0; k < 7; ++k)
      cv::rectangle(photo.pixels, {90 + 80 * k, 70 + 100 * i}, {120 + 80 * k, 110 + 100 * i},
                    cv::Scalar::all(grey / 3), -1);
  return photo;
}

TEST(CutStrips, LieWhereTheFrameSays) {
  Photo photo = side_photo(150);
  // A white spot 30 mm along and 10 mm down the second strip.
  cv::circle(photo.pixels, {50 + 150, 40 + 150}, 4, cv::Scalar::all(255), -1);
  const auto cuts = cut_strips(photo, four_strips());
  ASSERT_EQ(cuts.size(), 4U);
  EXPECT_NEAR(cuts[1].px_per_mm, 4, 1e-9);
  EXPECT_NEAR(cuts[1].figures.resolution, kPxPerMm, 1e-6);
  const cv::Point2d at = (cv::Point2d(30, 30) - cuts[1].origin_mm) * cuts[1].px_per_mm;
  EXPECT_EQ(cuts[1].pixels.at<cv::Vec3b>(cvRound(at.y), cvRound(at.x))[0], 255);
  EXPECT_EQ(cuts[1].pixels.size(), cv::Size(126 * 4, 26 * 4));
}

TEST(CutStrips, ACoarsePhotoIsCutAtItsOwnScale) {
  CutStripsOptions fine;
  fine.px_per_mm = 8;
  EXPECT_NEAR(cut_strips(side_photo(150), four_strips(), fine)[0].px_per_mm, kPxPerMm, 1e-6);
}

TEST(CutStrips, AStripOutsideThePhotoIsEmpty) {
  StackFrame frame = four_strips();
  frame.view.photo_from_stack(0, 2) = 5000;
  for (const StripCut& cut : cut_strips(side_photo(150), frame)) EXPECT_TRUE(cut.pixels.empty());
}

TEST(CutStrips, BlurIsThatOfThePhotoInPixelsAndMillimetres) {
  Photo photo = side_photo(180);
  cv::GaussianBlur(photo.pixels, photo.pixels, {}, 3);
  for (const StripCut& cut : cut_strips(photo, four_strips())) {
    EXPECT_NEAR(cut.figures.blur_px, 3, 0.15 * 3);
    EXPECT_NEAR(cut.figures.blur_mm, 3 / kPxPerMm, 0.15 * 3 / kPxPerMm);
  }
}

TEST(CutStrips, BlurDoesNotFollowTheScaleOfTheCut) {
  Photo photo = side_photo(180);
  cv::GaussianBlur(photo.pixels, photo.pixels, {}, 3);
  CutStripsOptions coarse;
  coarse.px_per_mm = 2.5;
  EXPECT_NEAR(cut_strips(photo, four_strips(), coarse)[1].figures.blur_px, 3, 0.15 * 3);
}

TEST(CutStrips, ASharpPhotoHasUnderAPixel) {
  for (const StripCut& cut : cut_strips(side_photo(180), four_strips())) {
    EXPECT_GT(cut.figures.blur_px, 0);
    EXPECT_LT(cut.figures.blur_px, 0.8);
  }
}

TEST(CutStrips, ExposureIsTheMeanLevel) {
  Photo photo;
  photo.pixels = cv::Mat(500, 700, CV_8UC3, cv::Scalar::all(51));
  for (const StripCut& cut : cut_strips(photo, four_strips())) {
    EXPECT_NEAR(cut.figures.exposure, 0.2, 0.002);
    EXPECT_NEAR(cut.figures.contrast, 0, 0.005);
    EXPECT_EQ(cut.figures.blur_px, 0);  // no edge to tell by
  }
}

TEST(CutStrips, ContrastIsThatOfTheStripsAreas) {
  const auto bright = cut_strips(side_photo(180), four_strips());
  const auto dim = cut_strips(side_photo(45), four_strips());
  EXPECT_NEAR(bright[1].figures.contrast, (180 - 60) / 255.0, 0.1);
  EXPECT_NEAR(dim[1].figures.contrast, bright[1].figures.contrast / 4, 0.05);
}

TEST(CutStrips, NoiseIsMeasured) {
  Photo photo = side_photo(120);
  cv::Mat noise(photo.pixels.size(), CV_16SC3), noisy;
  cv::RNG(3).fill(noise, cv::RNG::NORMAL, 0, 8);
  cv::add(photo.pixels, noise, noisy, cv::noArray(), CV_8UC3);
  const double before = cut_strips(photo, four_strips())[1].figures.noise;
  photo.pixels = noisy;
  const double after = cut_strips(photo, four_strips())[1].figures.noise;
  EXPECT_LT(before, 0.002);
  EXPECT_GT(after, 0.006);  // of 8 levels in each channel, less what grey and the cut average
  EXPECT_LT(after, 0.03);
}

TEST(Glare, APatchOverASeamCounts) {
  Photo photo = side_photo(150);
  // 40 mm along, from the middle of the second strip to the middle of the third.
  cv::rectangle(photo.pixels, {250, 190}, {450, 290}, cv::Scalar::all(255), -1);
  const auto cuts = cut_strips(photo, four_strips());
  EXPECT_NEAR(cuts[1].figures.glare, 0.5 / 3, 0.02);
  EXPECT_NEAR(cuts[2].figures.glare, 0.5 / 3, 0.02);
  EXPECT_EQ(cuts[0].figures.glare, 0);
}

TEST(Glare, WhitePlasticWithItsGroovesDoesNot) {
  for (const StripCut& cut : cut_strips(side_photo(255), four_strips()))
    EXPECT_EQ(cut.figures.glare, 0);
}

TEST(Glare, HighlightsOnStudsDoNot) {
  Photo photo = side_photo(150);
  for (int i = 0; i <= 4; ++i)
    for (int k = 0; k < 8; ++k)
      cv::circle(photo.pixels, {80 + 70 * k, 40 + 100 * i}, 12, cv::Scalar::all(255), -1);
  for (const StripCut& cut : cut_strips(photo, four_strips())) EXPECT_EQ(cut.figures.glare, 0);
}

}  // namespace
}  // namespace plumbstack
