#include <algorithm>

#include "capture_gate.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

Finding retake(const char* code, const std::string& side, std::vector<int> slots,
               std::string message, std::string action) {
  return {code, Severity::retake, side, std::move(slots), std::move(message), std::move(action)};
}

// A count that fits needs the evidence on its side; one that does not fit accuses the stack, and
// needs it clearly.
bool sure_of_count(const StackFrame& frame, int expected) {
  const bool fits = static_cast<int>(frame.strips.size()) == expected;
  return frame.count_confidence >= (fits ? 0.5 : 0.95);
}

std::vector<Finding> cropped(const std::string& side, const std::vector<int>& slots) {
  if (slots.empty()) return {};
  return {retake("photo.cropped", side, slots, "part of the stack lies outside the photo",
                 "step back until both end plates are in the photo")};
}

// Where slot 1 is not known, no reading can be said to be any slot's.
void distrust(SideMarks& marks) {
  for (SlotMarks& slot : marks.slots)
    slot.number.confidence = slot.vent.confidence = slot.sign.confidence = 0;
}

bool cut_off(const StackFrame& frame) {
  return std::any_of(frame.strips.begin(), frame.strips.end(),
                     [](const StripPlace& s) { return !s.in_photo; });
}

std::vector<SlotCapture> slot_captures(const StackFrame& frame, const std::vector<StripCut>& strips,
                                       bool turned) {
  std::vector<SlotCapture> slots;
  for (std::size_t i = 0; i < frame.strips.size(); ++i)
    slots.push_back({strips[i].figures, frame.strips[i].cover, frame.strips[i].in_photo});
  if (turned) std::reverse(slots.begin(), slots.end());
  return slots;
}

std::vector<int> slots_outside(const std::vector<SlotCapture>& slots) {
  std::vector<int> outside;
  for (std::size_t i = 0; i < slots.size(); ++i)
    if (!slots[i].in_photo) outside.push_back(static_cast<int>(i) + 1);
  return outside;
}

}  // namespace

SideEvidence no_stack(const std::string& side) {
  SideEvidence evidence;
  evidence.side = side;
  evidence.capture_findings.push_back(
      retake("photo.no_stack", side, {}, "no stack found in the photo",
             "photograph the whole side of the stack, straight on"));
  return evidence;
}

SideEvidence evidence_of(const Pack& pack, const Side& side, const FoundStack& found,
                         const std::vector<StripCut>& strips, const UnorientedMarks& read,
                         const std::optional<Edge>& given) {
  SideEvidence evidence;
  evidence.side = side.name;
  evidence.stack_found = true;
  evidence.modules_counted = static_cast<int>(found.frame.strips.size());
  evidence.count_sure = sure_of_count(found.frame, pack.modules);
  evidence.slot_1_at = slot_1_edge(read, pack, side, given);
  const Edge shown = evidence.slot_1_at.value_or(read.marks.first_at);
  evidence.marks = with_slot_1(read, side, shown);
  // Nor where strips had to be added beyond the photo: they may belong at the other end.
  if (!evidence.slot_1_at || cut_off(found.frame)) distrust(evidence.marks);
  const std::vector<SlotCapture> slots =
      slot_captures(found.frame, strips, shown != read.marks.first_at);
  evidence.marks.capture = capture_figures(slots);
  // An end plate that was counted has no number, and that is no fault.
  if (!evidence.count_sure)
    for (SlotMarks& slot : evidence.marks.slots) slot.number.place_seen = false;
  const bool count_fits = evidence.modules_counted == pack.modules;
  const bool numbered = count_fits && evidence.slot_1_at.has_value();
  evidence.capture_findings = capture_findings(side.name, slots, numbered);
  if (!count_fits) {
    // Strips that can't be made out may well be miscounted.
    if (!evidence.capture_findings.empty()) evidence.count_sure = false;
    evidence.marks.slots.clear();
  }
  for (Finding& finding : cropped(side.name, slots_outside(slots)))
    evidence.capture_findings.push_back(std::move(finding));
  return evidence;
}

}  // namespace plumbstack
