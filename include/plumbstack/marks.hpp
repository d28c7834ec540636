// Strips -> Marks: what is written and moulded on each strip, read without knowing what it should
// be.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/base/geometry.hpp"

namespace plumbstack {

/// Confidence is the measured probability that the stated value is right (see models/nets), not a
/// score of a network. A value under its trust bar is never used as if it were known.
/// What speaks for a number's reading and against it.
struct NumberEvidence {
  double places = 0, columns = 0;  // probability of the text by each of the two networks
  double nothing = 1;              // that there is no number, by the first
  double way = 1;                  // that it stands this way round
  double covered = 0;              // share of the writing, or of what is beside it, under a cover
  double off_column = 0;           // from where the stack's numbers stand, in their own deviations
  double others = 0.9;             // how well the other strips' numbers read, 0 where there is none
};

struct NumberMark {
  std::optional<std::string> text;  // best text; nullopt = no number found on the strip
  double confidence = 0;
  Quad quad_in_photo{};    // px, from the text's own top-left; valid where text is set
  int rotation_deg = 0;    // nearest quarter turn in the frame of the marks
  std::optional<End> end;  // nullopt within 12 % of the strip's middle
  double score = 0;        // of the evidence; confidence is what was measured for it
  NumberEvidence evidence;
  bool place_seen = false;  // without text: the place where it belongs is in plain sight and blank
};

struct VentMark {
  std::optional<End> end;  // nullopt = not seen
  double confidence = 0;
  cv::Point2d centre_in_photo;
  double score = 0;  // of the planes
};

/// What one end of a strip shows of a sign.
struct SignEvidence {
  double plus = 0, minus = 0;            // probabilities by the sign network, of what is in sight
  double seen_plus = 0, seen_minus = 0;  // heights of the face network's planes, likewise
  std::optional<Sign> color = {};        // the sign that paint there stands for
};

struct SignMark {
  std::optional<Sign> sign;  // at the end that the pack names; nullopt = not seen
  double confidence = 0;
  bool from_opposite = false;  // taken from the sign at the other end
  cv::Point2d centre_in_photo;
  double score = 0;        // of the evidence of both ends together
  SignEvidence own = {};   // at the end that the pack names
  SignEvidence far = {};   // at the other, where the other sign stands
  double paint_alone = 1;  // share of the paint's worth: none where most strips show it at this end
  double others = 0;       // mean probability of the side's other signs, each by its own evidence
  double lean = 0;         // mean of their log odds: over 0 where more of them read as a plus
};

struct SlotMarks {
  bool seen = false;  // enough of the strip lies in the frame and is uncovered
  Quad face_in_photo{};
  NumberMark number;
  VentMark vent;
  SignMark sign;
  std::optional<double> stagger_mm;  // nullopt = not measured
  double stagger_sd_mm = 0;
  std::optional<double> gap_mm;  // to the next slot; nullopt for the last or where not measured
};

struct CaptureFigures {
  double sharpness = 0;  // 0..1, 1 = as sharp as the pixels allow
  double glare = 0;      // share of the stack that is clipped white, 0..1
  double exposure = 0;   // mean level of the stack, 0..1
  double blur_px = 0;    // sigma, px in the photo
  double mm_per_px = 0;  // at the middle of the stack
};

/// Marks of one photo, slot 1 first once `oriented` has been applied; before, provisional top
/// first.
struct SideMarks {
  std::vector<SlotMarks> slots;
  CaptureFigures capture;
  /// Which of the photo's edges strip 0 is nearest.
  Edge first_at = Edge::top;
};

/// Least confidence at which a reading counts as known; from the reliability measured on scenes not
/// used in training (DEVELOPERS.md says how each was chosen).
struct TrustBar {
  double number = 0.95;
  double vent = 0.99;
  double sign = 0.98;
  /// At which a known number or sign that contradicts the pack is called a fault: on a right stack
  /// every misreading contradicts it. On drawn sides one in 55 of the numbers between their two
  /// bars is misread, one in 190 of the signs. Vents have no second bar, though on drawn sides they
  /// are misread as often as signs: DEVELOPERS.md says why.
  double number_fault = 0.995;
  double sign_fault = 0.998;
};

/// The same marks seen with the other end of the stack as slot 1: order reversed, ends swapped,
/// rotations turned by half a turn, stagger negated, gaps re-assigned.
SideMarks half_turned(const SideMarks& marks);

}  // namespace plumbstack
