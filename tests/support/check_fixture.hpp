// A check put together by hand: a drawn photo, its frame and its evidence, all known exactly.
//
// The stack is 240 mm-units of nothing real: six strips of 120 x 20 mm at 2 px per mm, its outer
// corner at (380, 200) in a photo of 1000 x 600 px, so that there is room for every label.
#pragma once

#include <opencv2/imgproc.hpp>
#include <string>

#include "plumbstack/check_stack.hpp"

namespace plumbstack::test {

constexpr int kSlots = 6;
constexpr double kPxPerMm = 2, kLeftPx = 380, kTopPx = 200, kLengthMm = 120, kPitchMm = 20;

inline Pack fixture_pack() {
  Pack pack;
  pack.id = "bench-6";
  pack.name = "6 modules on the bench";
  pack.modules = kSlots;
  pack.module_mm = {kLengthMm, 60, kPitchMm, kPitchMm};
  pack.sides = {
      {"number", kLengthMm, NumberRule{1, End::right, 180}, std::nullopt, std::nullopt},
      {"vent", kLengthMm, std::nullopt, VentRule{End::left}, SignRule{Sign::plus, End::left, {}}}};
  pack.stagger_limit_mm = 1.0;
  pack.required_sides = {"number", "vent"};
  pack.electrical = ElectricalRule{6, 1.2, 1.4, 2};
  return pack;
}

inline Quad box_quad(double x0, double y0, double x1, double y1) {
  return {cv::Point2d(x0, y0), {x1, y0}, {x1, y1}, {x0, y1}};
}

inline StackFrame fixture_frame() {
  StackFrame frame;
  frame.view.photo_from_stack = {kPxPerMm, 0, kLeftPx, 0, kPxPerMm, kTopPx, 0, 0, 1};
  frame.view.centre = {500, 300};
  frame.view.half_diagonal = 583;
  for (int i = 0; i < kSlots; ++i) {
    StripPlace strip;
    strip.top_mm = i * kPitchMm;
    strip.bottom_mm = (i + 1) * kPitchMm;
    strip.right_mm = kLengthMm;
    strip.ends_seen = true;
    frame.strips.push_back(strip);
  }
  return frame;
}

/// Texture, so that anything drawn on it shows as a change.
inline cv::Mat fixture_pixels() {
  cv::Mat pixels(600, 1000, CV_8UC3, cv::Scalar(96, 104, 112));
  for (int y = 0; y < pixels.rows; ++y)
    for (int x = 0; x < pixels.cols; ++x)
      pixels.at<cv::Vec3b>(y, x)[0] = static_cast<unsigned char>(80 + (x * 7 + y * 13) % 64);
  return pixels;
}

/// Slot as it should be: number 180 degrees turned at the right end, vent and sign alternating.
inline SlotMarks good_slot(const Side& side, int slot) {
  SlotMarks m;
  const double y0 = kTopPx + kPxPerMm * kPitchMm * (slot - 1), y1 = y0 + kPxPerMm * kPitchMm;
  m.seen = true;
  m.face_in_photo = box_quad(kLeftPx, y0, kLeftPx + kPxPerMm * kLengthMm, y1);
  const bool odd = slot % 2 == 1;
  if (side.number) {
    m.number.text = std::to_string(slot);
    m.number.confidence = 0.9987;
    m.number.quad_in_photo = half_turned(box_quad(570, y0 + 8, 590, y1 - 8));
    m.number.rotation_deg = 180;
    m.number.end = End::right;
    m.number.place_seen = true;
  }
  if (side.vent) {
    m.vent.end = odd ? End::left : End::right;
    m.vent.confidence = 0.995;
  }
  if (side.sign) {
    m.sign.sign = odd ? Sign::plus : Sign::minus;
    m.sign.confidence = 0.993;
  }
  m.stagger_mm = 0.1234567;
  m.stagger_sd_mm = 0.08;
  if (slot < kSlots) m.gap_mm = 0.3;
  return m;
}

inline CheckedPhoto good_photo(const Pack& pack, const std::string& side_name) {
  CheckedPhoto checked;
  checked.photo.file = "FL-0142/" + side_name + ".jpg";
  checked.photo.pixels = fixture_pixels();
  checked.photo.sha256 = std::string(64, 'a');
  checked.side = side_name;
  checked.frame = fixture_frame();
  checked.evidence.side = side_name;
  checked.evidence.stack_found = true;
  checked.evidence.modules_counted = kSlots;
  checked.evidence.slot_1_at = Edge::top;
  for (int slot = 1; slot <= kSlots; ++slot)
    checked.evidence.marks.slots.push_back(good_slot(*pack.side(side_name), slot));
  checked.evidence.marks.capture = {0.8, 0.01, 0.5, 0.7, 1 / kPxPerMm};
  return checked;
}

/// Both sides photographed, everything right.
inline Check good_check(const Pack& pack) {
  Check check;
  check.photos = {good_photo(pack, "number"), good_photo(pack, "vent")};
  check.judgement.verdict = Verdict::pass;
  check.judgement.side_verdicts = {Verdict::pass, Verdict::pass};
  check.ms = {{"decode", 61.04}, {"marks", 200.0}, {"total", 412.349}};
  return check;
}

inline SlotMarks& slot_of(Check& check, std::size_t photo, int slot) {
  return check.photos[photo].evidence.marks.slots[static_cast<std::size_t>(slot - 1)];
}

/// The modules of slots 2 and 5 are swapped, which turns nothing visible on this side.
inline Check swapped_check(const Pack& pack) {
  Check check = good_check(pack);
  slot_of(check, 0, 2).number.text = "5";
  slot_of(check, 0, 5).number.text = "2";
  check.judgement.verdict = Verdict::fix;
  check.judgement.side_verdicts = {Verdict::fix, Verdict::pass};
  check.judgement.findings = {{"number.order",
                               Severity::fix,
                               "number",
                               {2, 5},
                               "slot 2 reads 5 and slot 5 reads 2",
                               "swap the modules in slots 2 and 5, turning both"}};
  check.judgement.repair = {{2, 5, true, "put the module in slot 2 into slot 5, turned"},
                            {5, 2, true, "put the module in slot 5 into slot 2, turned"}};
  return check;
}

/// No stack in the photo of the number side; the vent side was not photographed.
inline Check stackless_check(const Pack& pack) {
  Check check = good_check(pack);
  check.photos.pop_back();
  check.photos[0].frame.reset();
  check.photos[0].evidence = {};
  check.photos[0].evidence.side = "number";
  check.judgement.verdict = Verdict::retake;
  check.judgement.side_verdicts = {Verdict::retake};
  check.judgement.missing_sides = {"vent"};
  check.judgement.findings = {{"photo.no_stack",
                               Severity::retake,
                               "number",
                               {},
                               "no stack found in the photo",
                               "photograph the whole side of the stack"}};
  return check;
}

}  // namespace plumbstack::test
