#include "plumbstack/read_marks.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "second_opinion.hpp"

namespace plumbstack {
namespace {

constexpr double kCoveredShare = 0.6;  // a strip that is hidden further than this is not seen

SlotMarks slot_of(const StackFrame& frame, std::size_t strip) {
  const StripPlace& place = frame.strips[strip];
  SlotMarks slot;
  slot.seen = place.in_photo && place.cover < kCoveredShare;
  slot.face_in_photo = frame.face_in_photo(strip);
  if (place.ends_seen) slot.stagger_mm = place.stagger_mm;
  slot.stagger_sd_mm = place.stagger_sd_mm;
  if (strip + 1 < frame.strips.size()) slot.gap_mm = place.gap_mm;
  return slot;
}

// Light and sharpness of the stack, on a picture of it at one pixel a millimetre or finer.
CaptureFigures capture_of(const Photo& photo, const StackFrame& frame) {
  const StripPlace& first = frame.strips.front();
  const StripPlace& last = frame.strips.back();
  const cv::Rect2d box(first.left_mm, first.top_mm, std::max(1.0, first.right_mm - first.left_mm),
                       std::max(1.0, last.bottom_mm - first.top_mm));
  cv::Mat grey, edges;
  cv::cvtColor(rectify(photo.pixels, frame.view, box, 2), grey, cv::COLOR_BGR2GRAY);
  CaptureFigures figures;
  figures.exposure = cv::mean(grey)[0] / 255;
  figures.glare = double(cv::countNonZero(grey > 250)) / double(grey.total());
  // Edge strength after one more blur against before: a sharp picture loses much of it, a blurred
  // one little (the comparison of a picture with its own blur, Crete et al. 2007).
  cv::Mat soft;
  cv::GaussianBlur(grey, soft, {}, 1.5);
  cv::Mat before, after;
  cv::Sobel(grey, before, CV_32F, 0, 1), cv::Sobel(soft, after, CV_32F, 0, 1);
  const double strength = cv::norm(before, cv::NORM_L1);
  figures.sharpness =
      strength > 0 ? std::clamp(1 - cv::norm(after, cv::NORM_L1) / strength, 0.0, 1.0) : 0;
  const cv::Point2d middle = (box.tl() + box.br()) / 2;
  figures.mm_per_px =
      1 / cv::norm(frame.view.to_photo(middle + cv::Point2d(1, 0)) - frame.view.to_photo(middle));
  return figures;
}

}  // namespace

UnorientedMarks read_marks(const Photo& photo, const FoundStack& found, const Pack& pack,
                           const Side& side, Nets& nets) {
  const StackFrame& frame = found.frame;
  UnorientedMarks read;
  read.marks.first_at = frame.lying ? Edge::left : Edge::top;
  for (std::size_t i = 0; i < frame.strips.size(); ++i)
    read.marks.slots.push_back(slot_of(frame, i));
  read.marks.capture = capture_of(photo, frame);
  if (side.number) {
    auto writings = find_writings(frame, found.maps);
    NetReader(nets).read(photo, frame.view, writings);
    if (!nets.second_reader) nets.second_reader = std::make_shared<TesseractReader>();
    const TwoReaders both{photo, frame.view, nets.calibrations, TrustBar{}.number,
                          *nets.second_reader};
    const auto numbers =
        choose_numbers(pack, side, frame, found.maps, writings,
                       [&](const Writing& w, int rotation_deg, const Reading& first) {
                         return both.confidence(w, rotation_deg, first);
                       });
    read.note = nets.second_reader->note();
    for (std::size_t i = 0; i < numbers.size(); ++i) read.marks.slots[i].number = numbers[i];
  }
  for (std::size_t i = 0; i < frame.strips.size(); ++i) {
    if (side.vent)
      read.marks.slots[i].vent = find_vent(frame, found.maps, i, nets.calibrations.vent);
    if (!side.sign) continue;
    const SignsFound signs = find_signs(photo, frame, found.maps, *side.sign, i, nets.calibrations);
    const bool any = !side.sign->end;
    read.left_sign.push_back(
        resolve_sign(signs, any ? std::nullopt : std::optional(End::left), frame.view));
    read.right_sign.push_back(
        resolve_sign(signs, any ? std::nullopt : std::optional(End::right), frame.view));
  }
  return read;
}

std::optional<Edge> slot_1_edge(const UnorientedMarks& read, const Pack& pack, const Side& side,
                                const TrustBar& bar, const std::optional<Edge>& given) {
  if (given) return given;
  if (side.number) {
    if (const auto edge = edge_by_numbers(side, read.marks, bar)) return edge;
    return std::nullopt;
  }
  if (pack.slot_1_up) return Edge::top;
  return std::nullopt;
}

SideMarks with_slot_1(const UnorientedMarks& read, const Side& side, Edge slot_1_at) {
  const bool turn = slot_1_at == opposite(read.marks.first_at);
  SideMarks marks = read.marks;
  if (side.sign)
    for (std::size_t i = 0; i < marks.slots.size(); ++i) {
      // Seen from the other end of the stack, the end named left is the provisional right one.
      const bool left = !side.sign->end || (*side.sign->end == End::left) != turn;
      marks.slots[i].sign = left ? read.left_sign[i] : read.right_sign[i];
    }
  return turn ? half_turned(marks) : marks;
}

}  // namespace plumbstack
