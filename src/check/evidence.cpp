#include <algorithm>

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
                         const UnorientedMarks& read, const TrustBar& bar,
                         const std::optional<Edge>& given) {
  SideEvidence evidence;
  evidence.side = side.name;
  evidence.stack_found = true;
  evidence.modules_counted = static_cast<int>(found.frame.strips.size());
  evidence.count_sure = sure_of_count(found.frame, pack.modules);
  evidence.slot_1_at = slot_1_edge(read, pack, side, bar, given);
  const Edge shown = evidence.slot_1_at.value_or(read.marks.first_at);
  evidence.marks = with_slot_1(read, side, shown);
  std::vector<int> outside;
  for (std::size_t i = 0; i < found.frame.strips.size(); ++i)
    if (!found.frame.strips[i].in_photo) {
      const std::size_t slot = shown == read.marks.first_at ? i : found.frame.strips.size() - 1 - i;
      outside.push_back(static_cast<int>(slot) + 1);
    }
  if (shown != read.marks.first_at) std::reverse(outside.begin(), outside.end());
  evidence.capture_findings = cropped(side.name, outside);
  if (evidence.modules_counted != pack.modules) evidence.marks.slots.clear();
  return evidence;
}

}  // namespace plumbstack
