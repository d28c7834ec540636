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
/// Mean of a plane over a box.
double mean_in(const FaceMaps& maps, FacePlane plane, const cv::Rect2d& box_mm);
/// Share of a mark at this place that nothing lies over, 0..1.
double in_sight(const FaceMaps& maps, cv::Point2d mark_mm);

struct Reading {
  std::string text;  // empty = no readable upright number
  double score = 0;  // the networks' own probability of the text; calibrated elsewhere
  double places = 0, columns = 0;  // of the text by each of them
  double nothing = 1;              // that there is no number, by the first
};

/// A piece of writing somewhere on a strip.
struct Writing {
  cv::Point2d centre_mm;
  double length_mm = 0, height_mm = 0;
  int rotation_deg = 0;  // as the planes have it
  double heat = 0;       // of that plane
  Reading upright;       // read in that rotation
  Reading turned;        // read half a turn round
  double covered = 0;    // share of it, or of what is just beside it, that something lies over
};

/// Writings of every strip, unread, strongest first, at most `most` a strip.
std::vector<std::vector<Writing>> find_writings(const StackFrame& frame, const FaceMaps& maps,
                                                std::size_t most = 4);

/// Adds, unread, the places where the writings of the other strips say that one should be.
void add_expected_places(const StackFrame& frame, std::vector<std::vector<Writing>>& writings);

/// Where a number should stand by the clear ones of the other strips, unread: on strips without a
/// clear one, and in the fullest column also on strips that have theirs elsewhere.
std::vector<std::vector<Writing>> places_beside_clear_numbers(
    const StackFrame& frame, const std::vector<std::vector<Writing>>& writings);

/// Reads every writing in both ways round.
class NumberReader {
 public:
  virtual ~NumberReader() = default;
  virtual void read(const Photo& photo, const StackFrame& frame,
                    std::vector<std::vector<Writing>>& writings) = 0;
};

/// The shipped network; see models/nets/README.md for the crop it was trained on.
class NetReader : public NumberReader {
 public:
  explicit NetReader(Nets& nets) : nets_(nets) {}
  void read(const Photo& photo, const StackFrame& frame,
            std::vector<std::vector<Writing>>& writings) override;

 private:
  Nets& nets_;
};

/// How far each is covered: where it may go on under something that lies beside it, a digit may be
/// hidden.
void note_cover(const StackFrame& frame, const FaceMaps& maps,
                std::vector<std::vector<Writing>>& writings);

/// Corners of a text, from its own top-left, in the photo.
Quad text_quad(const PlaneView& view, const Writing& writing, int rotation_deg);

/// Measured probability that a reading of a writing, taken that way round, is right.
using ReadingTrust = std::function<double(const Writing&, int rotation_deg, const Reading&)>;

/// The sequence number of each strip among its writings.
std::vector<NumberMark> choose_numbers(const Pack& pack, const Side& side, const StackFrame& frame,
                                       const std::vector<std::vector<Writing>>& writings,
                                       const ReadingTrust& trust);
/// Sets place_seen of the marks without text whose place is in plain sight and blank.
void find_blank_places(const Photo& photo, const StackFrame& frame, const FaceMaps& maps,
                       std::vector<NumberMark>& marks);

/// Which distance along the strip marks of a kind have in common.
enum class Along { from_nearer_end, from_left };
/// The distance (mm) at which most strips show a peak of the planes; nullopt where few agree.
std::optional<double> column_of_marks(const StackFrame& frame, const FaceMaps& maps,
                                      const std::vector<FacePlane>& planes, Along along);
/// The strip as a box of the side.
cv::Rect2d box_of(const StripPlace& strip);

/// Probability that a place shows a plus or a minus, as the sign network has it.
struct SignOdds {
  double plus = 0, minus = 0;
};
/// Each place looked at a few times, a little beside itself, and more often where that leaves
/// doubt.
std::vector<SignOdds> read_signs(const Photo& photo, const PlaneView& view,
                                 const std::vector<cv::Point2d>& places_mm, Nets& nets);
/// The same from one look at each.
std::vector<SignOdds> glance_at_signs(const Photo& photo, const PlaneView& view,
                                      const std::vector<cv::Point2d>& places_mm, Nets& nets);

/// What one place of a strip tells of a sign.
struct SignSpot {
  SignOdds odds;              // by shape, of what is in sight
  SignOdds at_first_sight;    // heights of the face network's planes there
  std::optional<Sign> color;  // by colour, where the pack names colours
  bool painted = false;       // the colour lies on the very place: the shape may not show
  cv::Rect2d box;             // where on the side it was looked for, mm
  cv::Point2d centre_mm;
};

/// Signs of one strip: at its left and right end, or anywhere (`whole`).
struct SignsFound {
  SignSpot left, right, whole;
};
/// For every strip.
std::vector<SignsFound> find_signs(const Photo& photo, const StackFrame& frame,
                                   const FaceMaps& maps, const SignRule& rule, Nets& nets);
/// Probability that each place shows a vent, as the vent network has it.
std::vector<double> read_vents(const Photo& photo, const PlaneView& view,
                               const std::vector<cv::Point2d>& places_mm, Nets& nets);
using VentReader = std::function<std::vector<double>(const std::vector<cv::Point2d>& places_mm)>;
/// For every strip.
std::vector<VentMark> find_vents(const StackFrame& frame, const FaceMaps& maps,
                                 const VentReader& reader, const Calibration& calibration);

/// The largest blob of one colour inside a box of the side, without what something lies over: paint
/// holds together, rust and dirt are scattered.
struct Blob {
  double mm2 = 0;
  cv::Point2d centre_mm;
};
Blob largest_blob(const Photo& photo, const PlaneView& view, const FaceMaps& maps,
                  const cv::Rect2d& box_mm, MarkColor color);

/// The sign that paint at a spot stands for, where the pack names colours: positive evidence only.
void add_color(const Photo& photo, const PlaneView& view, const FaceMaps& maps,
               const SignRule& rule, SignSpot& spot);

/// Of every strip the sign at the end that the pack names, given what was found at both.
std::vector<SignMark> resolve_signs(const std::vector<SignsFound>& found,
                                    const std::optional<End>& named, const PlaneView& view,
                                    const Calibration& calibration);

/// The edge of the photo at which the numbers put slot 1: by rotation and end of most of them.
std::optional<Edge> edge_by_numbers(const Side& side, const SideMarks& marks);

}  // namespace plumbstack
