// The capture gate: whether the photo's strips can carry a reading, and if not, what to change.
// A judgement on evidence alone; what the strips say has no part in it.
#pragma once

#include <string>
#include <vector>

#include "plumbstack/judge.hpp"
#include "plumbstack/strips.hpp"

namespace plumbstack {

/// What the gate may know of one slot.
struct SlotCapture {
  StripFigures figures;
  double cover = 0;      // share that something covers, 0..1
  bool in_photo = true;  // a slot outside the frame is photo.cropped's matter
};

/// Chosen on 1,162 drawn scenes (851 of them good), so that next to no good photo is sent back; see
/// DEVELOPERS.md for what they catch.
struct CaptureBar {
  double blur_px = 1.4;     // both must be exceeded: a lens's own softness stays below this ...
  double blur_mm = 0.3;     // ... and a large photo may be soft in pixels and show every stroke
  double glare = 0.10;      // share of a strip beyond what runs along the whole stack
  double washed_out = 0.5;  // share of a strip that is too much even where the whole stack has it
  double dim = 0.12;        // mean level under which a photo can be dark at all; a dark plastic is
                            // as dim, but has
  double contrast = 0.085;  // ... this contrast in good light: 22 of 255 levels
  double noisy_dim = 0.15;  // as `dim`, for noise:
  double contrast_to_noise = 8;
  double cover = 0.25;         // share of a strip beyond the stack's median: rods, straps and hoses
                               // run over every strip, a hand or a cup does not
  double blurred_slots = 0.3;  // of the slots: fewer are odd strips
  double dark_slots = 0.5;     // of the slots: fewer lie in a shadow, and show their marks or not
};

/// Findings photo.blurred, .dark, .glare, .covered of one side, severity retake, in that order.
/// @param slots slot 1 first
/// @param numbered false where the count or the direction is open: then no slot is named
std::vector<Finding> capture_findings(const std::string& side,
                                      const std::vector<SlotCapture>& slots, bool numbered = true,
                                      const CaptureBar& bar = {});

/// The whole side in the figures that the record shows: medians over the strips in the photo.
CaptureFigures capture_figures(const std::vector<SlotCapture>& slots);

}  // namespace plumbstack
