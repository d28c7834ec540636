#include "plumbstack/read_marks.hpp"

#include <algorithm>

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

}  // namespace

UnorientedMarks read_marks(const Photo& photo, const FoundStack& found, const Pack& pack,
                           const Side& side, Nets& nets) {
  const StackFrame& frame = found.frame;
  UnorientedMarks read;
  read.marks.first_at = frame.lying ? Edge::left : Edge::top;
  for (std::size_t i = 0; i < frame.strips.size(); ++i)
    read.marks.slots.push_back(slot_of(frame, i));
  if (side.number) {
    if (!nets.second_reader) nets.second_reader = std::make_shared<TesseractReader>();
    auto writings = find_writings(frame, found.maps);
    add_expected_places(frame, writings);
    NetReader(nets).read(photo, frame, writings);
    note_cover(frame, found.maps, writings);
    const TwoReaders both{photo, frame.view, nets.calibrations, TrustBar{}.number_fault,
                          *nets.second_reader};
    auto numbers = choose_numbers(pack, side, frame, writings,
                                  [&](const Writing& w, int rotation_deg, const Reading& first) {
                                    return both.confidence(w, rotation_deg, first);
                                  });
    read.note = nets.second_reader->note();
    find_blank_places(photo, frame, found.maps, numbers);
    for (std::size_t i = 0; i < numbers.size(); ++i) read.marks.slots[i].number = numbers[i];
  }
  if (side.vent) {
    const auto vents = find_vents(
        frame, found.maps,
        [&](const auto& places) { return read_vents(photo, frame.view, places, nets); },
        nets.calibrations.vent);
    for (std::size_t i = 0; i < vents.size(); ++i) read.marks.slots[i].vent = vents[i];
  }
  if (side.sign) {
    const std::vector<SignsFound> found_signs =
        find_signs(photo, frame, found.maps, *side.sign, nets);
    const auto at = [&](End end) {
      return resolve_signs(found_signs, side.sign->end ? std::optional(end) : std::nullopt,
                           frame.view, nets.calibrations.sign);
    };
    read.left_sign = at(End::left), read.right_sign = at(End::right);
  }
  return read;
}

std::optional<Edge> slot_1_edge(const UnorientedMarks& read, const Pack& pack, const Side& side,
                                const std::optional<Edge>& given) {
  if (given) return given;
  if (side.number) {
    if (const auto edge = edge_by_numbers(side, read.marks)) return edge;
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
