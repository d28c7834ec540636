// What a second, independent reading does to the trust in a first one. It is asked for only where
// the network alone is not sure enough; what agreement and disagreement are worth was measured.
#pragma once

#include "parts.hpp"
#include "second_reader.hpp"

namespace plumbstack {

/// The writing cut from the photo, upright as `rotation_deg` says: grey, the text `text_px` high or
/// smaller where the photo is coarser, with ground around it since its box is not exact.
struct UprightCrop {
  cv::Mat grey;
  double text_px = 0;  // height of the text in it
};
UprightCrop upright_crop(const Photo& photo, const PlaneView& view, const Writing& writing,
                         int rotation_deg);

/// The second reader's text for a writing, read the way round that `rotation_deg` says; nullopt
/// where it can't tell. It does not know the first reading.
std::optional<std::string> second_opinion(const Photo& photo, const PlaneView& view,
                                          const Writing& writing, int rotation_deg,
                                          SecondReader& second);

/// Measured probability that the first reading is right, given its score and what the second says.
double combined_confidence(const SecondOpinionTables& tables, const Reading& first,
                           const std::optional<std::string>& second);

/// Both readers together, for one photo.
struct TwoReaders {
  const Photo& photo;
  const PlaneView& view;
  const Calibrations& calibrations;
  double sure = 0;  // confidence from which the network alone is enough
  SecondReader& second;

  /// Confidence of the network's reading: its own where it is sure enough alone or where no second
  /// opinion could make it so; else with the second opinion, for better or worse.
  double confidence(const Writing& writing, int rotation_deg, const Reading& first) const;
};

}  // namespace plumbstack
