// The capture gate on figures put together by hand: what sends a photo back, which slots it names,
// and what must not.
#include "capture_gate.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace plumbstack {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

std::vector<SlotCapture> good(std::size_t count = 10) {
  SlotCapture slot;
  slot.figures = {3.0, 0.7, 0.23, 0, 0.5, 0.4, 0.004};
  slot.cover = 0.08;
  return std::vector<SlotCapture>(count, slot);
}

TEST(CaptureGate, AGoodPhotoIsLeftAlone) {
  EXPECT_THAT(capture_findings("number", good()), IsEmpty());
  EXPECT_THAT(capture_findings("number", {}), IsEmpty());
}

TEST(CaptureGate, ABlurredPhotoIsSentBack) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.blur_px = 4, s.figures.blur_mm = 1.3;
  const auto found = capture_findings("number", slots);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_EQ(found[0].code, "photo.blurred");
  EXPECT_EQ(found[0].severity, Severity::retake);
  EXPECT_EQ(found[0].side, "number");
  EXPECT_THAT(found[0].slots, SizeIs(10));
  EXPECT_THAT(found[0].action, HasSubstr("focus"));
  EXPECT_THAT(found[0].action, testing::Not(HasSubstr("closer")));
}

TEST(CaptureGate, ABlurredPhotoFromAfarIsToBeTakenCloser) {
  auto slots = good();
  for (SlotCapture& s : slots)
    s.figures.blur_px = 2.5, s.figures.blur_mm = 2, s.figures.resolution = 1.25;
  EXPECT_THAT(capture_findings("number", slots).at(0).action, HasSubstr("closer"));
}

TEST(CaptureGate, SoftPixelsOfALargePhotoAreNoBlur) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.blur_px = 3, s.figures.blur_mm = 0.25;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, OneOddStripIsNoBlur) {
  auto slots = good();
  slots[4].figures.blur_px = 6, slots[4].figures.blur_mm = 2;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, StripsWithoutEdgesSayNothingOfBlur) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.blur_px = s.figures.blur_mm = 0;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, TheFarEndOutOfFocusIsNamed) {
  auto slots = good();
  for (std::size_t i = 5; i < 10; ++i) slots[i].figures.blur_px = 4, slots[i].figures.blur_mm = 1;
  const auto found = capture_findings("number", slots);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_THAT(found[0].slots, ElementsAre(6, 7, 8, 9, 10));
  EXPECT_THAT(found[0].message, HasSubstr("slots 6 to 10"));
}

TEST(CaptureGate, WithoutContrastAPhotoIsDark) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.exposure = 0.04, s.figures.contrast = 0.03;
  const auto found = capture_findings("number", slots);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_EQ(found[0].code, "photo.dark");
  EXPECT_THAT(found[0].action, HasSubstr("more light"));
}

TEST(CaptureGate, DarkPlasticInGoodLightIsNotDark) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.exposure = 0.09, s.figures.contrast = 0.13;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, NoiseOverTheContrastIsDark) {
  auto slots = good();
  for (SlotCapture& s : slots)
    s.figures.exposure = 0.13, s.figures.contrast = 0.08, s.figures.noise = 0.016;
  EXPECT_EQ(capture_findings("number", slots).at(0).code, "photo.dark");
}

TEST(CaptureGate, ALightPlasticWithoutContrastIsNotDark) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.exposure = 0.6, s.figures.contrast = 0.03;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, AShadowOverAFewStripsIsNotDark) {
  auto slots = good();
  for (std::size_t i = 0; i < 4; ++i)
    slots[i].figures.exposure = 0.06, slots[i].figures.contrast = 0.04;
  EXPECT_THAT(capture_findings("number", slots), IsEmpty());
}

TEST(CaptureGate, GlareNamesItsSlots) {
  auto slots = good();
  slots[2].figures.glare = 0.3, slots[3].figures.glare = 0.4;
  slots[2].cover = slots[3].cover = 0.5;  // glare covers, but is named once
  const auto found = capture_findings("vent", slots);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_EQ(found[0].code, "photo.glare");
  EXPECT_THAT(found[0].slots, ElementsAre(3, 4));
  EXPECT_THAT(found[0].action, HasSubstr("angle"));
}

TEST(CaptureGate, AWhiteStrapAlongTheStackIsNoGlare) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.glare = 0.15;
  EXPECT_THAT(capture_findings("vent", slots), IsEmpty());
}

TEST(CaptureGate, AWashedOutStackIsGlare) {
  auto slots = good();
  for (SlotCapture& s : slots) s.figures.glare = 0.7;
  EXPECT_THAT(capture_findings("vent", slots).at(0).slots, SizeIs(10));
}

TEST(CaptureGate, AHandIsNamedAndRodsAreNot) {
  auto slots = good();
  for (SlotCapture& s : slots) s.cover = 0.4;  // rods, straps and hoses over every strip
  EXPECT_THAT(capture_findings("vent", slots), IsEmpty());
  slots[7].cover = 0.75;
  const auto found = capture_findings("vent", slots);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_EQ(found[0].code, "photo.covered");
  EXPECT_THAT(found[0].slots, ElementsAre(8));
  EXPECT_THAT(found[0].action, HasSubstr("remove what hides slot 8"));
}

TEST(CaptureGate, SlotsOutsideThePhotoAreNotItsMatter) {
  auto slots = good();
  for (std::size_t i = 0; i < 3; ++i) slots[i] = SlotCapture{{}, 1, false};
  EXPECT_THAT(capture_findings("vent", slots), IsEmpty());
}

TEST(CaptureGate, NamesNoSlotWhereNoneIsKnown) {
  auto slots = good();
  slots[2].cover = 0.9;
  const auto found = capture_findings("vent", slots, false);
  ASSERT_THAT(found, SizeIs(1));
  EXPECT_THAT(found[0].slots, IsEmpty());
  EXPECT_THAT(found[0].message + found[0].action, testing::Not(HasSubstr("slot")));
}

TEST(CaptureFigures, AreOfTheStripsInThePhoto) {
  auto slots = good(5);
  slots[4] = SlotCapture{{}, 1, false};
  slots[0].figures.glare = 0.2;
  const CaptureFigures f = capture_figures(slots);
  EXPECT_NEAR(f.blur_px, 0.7, 1e-12);
  EXPECT_NEAR(f.sharpness, 0.5 / 0.7, 1e-12);
  EXPECT_NEAR(f.glare, 0.05, 1e-12);
  EXPECT_NEAR(f.exposure, 0.5, 1e-12);
  EXPECT_NEAR(f.mm_per_px, 1 / 3.0, 1e-12);
}

TEST(CaptureFigures, OfNothingAreZero) {
  EXPECT_EQ(capture_figures({}).mm_per_px, 0);
  EXPECT_EQ(capture_figures({}).sharpness, 0);
}

}  // namespace
}  // namespace plumbstack
