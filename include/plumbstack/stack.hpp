// Photo -> FoundStack: where the stack is, as one geometric model.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "plumbstack/base/geometry.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/face_maps.hpp"
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
  /// Photo pixels per mm at a stack point along x (.x) and along y (.y).
  cv::Point2d px_per_mm(cv::Point2d stack_mm) const;
};

/// One strip as found, in stack millimetres.
struct StripPlace {
  double top_mm = 0;  // its two borders along the stack axis, y
  double bottom_mm = 0;
  double left_mm = 0;  // its two ends, x
  double right_mm = 0;
  double stagger_mm = 0;     // displacement of the strip off the robust line, positive to the right
  double stagger_sd_mm = 0;  // standard deviation of that; grows with blur, slant and cover
  std::optional<double>
      gap_mm;  // beyond the pack's pitch, to the next strip; nullopt: none or not measured
  bool ends_seen = false;  // at least one end edge carries evidence; else stagger is a guess
  double cover = 0;        // share of the strip that something covers, 0..1
  bool in_photo = true;    // at least 90 % of the strip lies inside the frame
};

struct StackFrame {
  PlaneView view;
  std::vector<StripPlace> strips;  // counted in the photo, from the provisional top; the count may
                                   // differ from the pack's number of modules. Where the frame of
                                   // the photo cuts the stack off, strips that must lie beyond are
                                   // added up to the pack's number, with in_photo = false
  bool lying = false;              // false: strip 0 is the one nearest the photo's top edge;
                                   // true: strip 0 is nearest its left edge
  cv::Matx<double, 8, 8> covariance;  // of the homography's first eight entries (h33 = 1)
  double confidence = 0;              // finder's own score, 0..1; not a probability
  double count_confidence = 0;  // probability of the count by what the two ends of the stack look
                                // like; the pack's own count has no part in it

  /// The strip's quad in the photo.
  Quad face_in_photo(std::size_t strip) const;
  Quad outline_in_photo() const;
};

/// The stack and what the face network saw on its side, in the same stack millimetres.
struct FoundStack {
  StackFrame frame;
  FaceMaps maps;
};

struct FindStackOptions {
  double min_mask_share = 0.01;   // of the coarse image: a stack that small shows no number
  double min_confidence = 0.5;    // of the finder: more likely a stack than not
  double px_per_mm = 1.25;        // scale at which the face network was trained
  double margin_x_mm = 40;        // around the side: studs, and what the coarse finder is off by
  double margin_y_pitches = 3.5;  // the end plate and a module too many
  double max_raster_mpx = 0.9;    // face network input; larger packs are seen at a smaller scale
  double look_again_mm = 4;       // corners that move further than this are rectified once more:
                                  // end edges would near the rim of the window they are sought in
  int most_looks = 3;
  double least_evidence =
      0.45;  // of borders and ends, mean over the strips, 0..1: drawn stacks and
             // renders show 0.6 and more where the strips lie on the modules
};

/// nullopt in the value: no stack in the photo (a finding, not an error).
Result<std::optional<FoundStack>> find_stack(const Photo& photo, const Pack& pack, const Side& side,
                                             Nets& nets, const FindStackOptions& options = {});

/// Where the camera stands over the side: stack mm, z its height. What rises h mm over the side is
/// seen further off from (x, y) by h / (z - h) of its distance.
cv::Point3d camera_over(const Photo& photo, const PlaneView& view);

/// Rectifies a region of the side (stack mm) into an 8-bit BGR raster whose first pixel's centre is
/// the region's corner. What lies outside the photo is mid grey. A photo that is finer than the
/// raster is averaged first, so that fine texture does not alias.
cv::Mat rectify(const cv::Mat& photo_pixels, const PlaneView& view, const cv::Rect2d& region_mm,
                double px_per_mm);

/// Debug picture: the photo, small, with the coarse finder's mask over it. Runs the finder again.
cv::Mat draw_finder(const Photo& photo, Nets& nets);
/// Debug picture: the rectified side with borders, ends and gaps as fitted.
cv::Mat draw_fit(const Photo& photo, const FoundStack& found);

}  // namespace plumbstack
