// What is found on a strip before anybody knows which end of the stack is slot 1. Everything here
// is in the provisional frame: strip 0 first, x and y in stack mm.
#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/marks.hpp"
#include "plumbstack/nets.hpp"
#include "plumbstack/pack.hpp"
#include "plumbstack/photo.hpp"
#include "plumbstack/stack.hpp"

namespace plumbstack {

struct Peak {
  cv::Point2d mm;
  double height = 0;  // of the plane, 0..1; not a probability
};

/// Local maxima over `floor` of a plane inside a box of the stack, highest first.
std::vector<Peak> peaks_in(const FaceMaps& maps, FacePlane plane, const cv::Rect2d& box_mm,
                           double floor);
/// Greatest value of a plane within `reach_mm` of a point.
double height_near(const FaceMaps& maps, FacePlane plane, cv::Point2d mm, double reach_mm);
/// Mean of a plane over a box.
double mean_in(const FaceMaps& maps, FacePlane plane, const cv::Rect2d& box_mm);

struct Reading {
  std::string text;  // empty = no readable upright number
  double score = 0;  // least of the probabilities that the text rests on; calibrated elsewhere
};

/// A piece of writing somewhere on a strip.
struct Writing {
  cv::Point2d centre_mm;
  double length_mm = 0, height_mm = 0;
  int rotation_deg = 0;  // as the planes have it
  double heat = 0;       // of that plane
  Reading upright;       // read in that rotation
  Reading turned;        // read half a turn round
};

/// Writings of every strip, unread, strongest first, at most `most` a strip.
std::vector<std::vector<Writing>> find_writings(const StackFrame& frame, const FaceMaps& maps,
                                                std::size_t most = 4);

/// Reads every writing in both ways round.
class NumberReader {
 public:
  virtual ~NumberReader() = default;
  virtual void read(const Photo& photo, const PlaneView& view,
                    std::vector<std::vector<Writing>>& writings) = 0;
};

/// The shipped network; see models/nets/README.md for the crop it was trained on.
class NetReader : public NumberReader {
 public:
  explicit NetReader(Nets& nets) : nets_(nets) {}
  void read(const Photo& photo, const PlaneView& view,
            std::vector<std::vector<Writing>>& writings) override;

 private:
  Nets& nets_;
};

/// Corners of a text, from its own top-left, in the photo.
Quad text_quad(const PlaneView& view, const Writing& writing, int rotation_deg);

/// Measured probability that a reading of a writing, taken that way round, is right.
using ReadingTrust = std::function<double(const Writing&, int rotation_deg, const Reading&)>;

/// The sequence number of each strip among its writings.
std::vector<NumberMark> choose_numbers(const Pack& pack, const Side& side, const StackFrame& frame,
                                       const FaceMaps& maps,
                                       const std::vector<std::vector<Writing>>& writings,
                                       const ReadingTrust& trust);

struct SignSpot {
  std::optional<Sign> sign;
  double confidence = 0;
  cv::Point2d centre_mm;
};

/// Signs of one strip by shape and colour: at its left and right end, or anywhere (`whole`).
struct SignsFound {
  SignSpot left, right, whole;
};
SignsFound find_signs(const Photo& photo, const StackFrame& frame, const FaceMaps& maps,
                      const SignRule& rule, std::size_t strip, const Calibrations& calibrations);
VentMark find_vent(const StackFrame& frame, const FaceMaps& maps, std::size_t strip,
                   const Calibration& calibration);

/// Area in mm^2 of one colour inside a box of the side.
double colored_mm2(const Photo& photo, const PlaneView& view, const cv::Rect2d& box_mm,
                   MarkColor color);

/// The sign at the end that the pack names, given what was found at both.
SignMark resolve_sign(const SignsFound& found, const std::optional<End>& named,
                      const PlaneView& view);

/// The edge of the photo at which the numbers put slot 1: by rotation and end of most trusted ones.
std::optional<Edge> edge_by_numbers(const Side& side, const SideMarks& marks, const TrustBar& bar);

}  // namespace plumbstack
