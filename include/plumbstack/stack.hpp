// Photo -> StackFrame: where the stack is, as one geometric model.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "plumbstack/base/geometry.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/nets.hpp"
#include "plumbstack/pack.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {

/// Homography and one radial term: stack millimetres to displayed pixels.
/// A stack point maps by `photo_from_stack` to an ideal point p; the photo shows it at
/// centre + (p - centre) * (1 + k1 * r^2), r = |p - centre| / half_diagonal.
struct PlaneView {
  cv::Matx33d photo_from_stack = cv::Matx33d::eye();
  double k1 = 0;
  cv::Point2d centre;        // px, image centre
  double half_diagonal = 1;  // px

  cv::Point2d to_photo(cv::Point2d stack_mm) const;
  cv::Point2d to_stack(cv::Point2d photo_px) const;
};

/// One strip as found, in stack millimetres.
struct StripPlace {
  double top_mm = 0;      // its two borders along the stack axis, y; the space to the next strip's
  double bottom_mm = 0;   // top is the gap
  double left_mm = 0;     // its two ends, x
  double right_mm = 0;
  double stagger_mm = 0;     // displacement of the strip off the robust line, positive to the right
  double stagger_sd_mm = 0;  // standard deviation of that; grows with blur, slant and cover
  double gap_mm = 0;         // to the next strip; 0 for the last
  bool ends_seen = false;    // at least one end edge carries evidence; else stagger is a guess
  double cover = 0;          // share of the strip that something covers, 0..1
  bool in_photo = true;      // at least 90 % of the strip lies inside the frame
};

struct StackFrame {
  PlaneView view;
  std::vector<StripPlace> strips;  // counted in the photo, from the provisional top; the count may
                                   // differ from the pack's number of modules
  bool lying = false;              // false: strip 0 is the one nearest the photo's top edge;
                                   // true: strip 0 is nearest its left edge
  cv::Matx<double, 8, 8> covariance;  // of the homography's first eight entries (h33 = 1)
  double confidence = 0;              // finder's own score, 0..1; not a probability

  /// The strip's quad in the photo.
  Quad face_in_photo(std::size_t strip) const;
  Quad outline_in_photo() const;
};

struct FindStackOptions {
  double min_mask_share = 0.01;   // of the coarse image; less is no stack
  double min_confidence = 0.5;
};

/// nullopt in the value: no stack in the photo (a finding, not an error).
Result<std::optional<StackFrame>> find_stack(const Photo& photo, const Pack& pack, const Side& side,
                                             Nets& nets, const FindStackOptions& options = {});

}  // namespace plumbstack
