// Every code a finding may carry, with the severities it may have: the list that documents, schema
// and tests share. A code is never renamed and never reused.
#pragma once

#include <array>
#include <string_view>

#include "plumbstack/judge.hpp"

namespace plumbstack {

struct FindingCode {
  std::string_view code;
  bool may_note = false, may_retake = false, may_fix = false;
  std::string_view when;  // what makes it
};

inline constexpr FindingCode note_code(std::string_view code, std::string_view when) {
  return {code, true, false, false, when};
}
inline constexpr FindingCode retake_code(std::string_view code, std::string_view when) {
  return {code, false, true, false, when};
}
inline constexpr FindingCode fix_code(std::string_view code, std::string_view when) {
  return {code, false, false, true, when};
}
inline constexpr FindingCode note_or_retake(std::string_view code, std::string_view when) {
  return {code, true, true, false, when};
}

// The judge names a slot that was not seen in a photo.* finding only: it has no marks to be unsure
// of.
inline constexpr std::array kFindingCodes{
    fix_code("number.order", "a trusted number is in range but not the slot's own"),
    fix_code("number.duplicate", "slots share a trusted number"),
    fix_code("number.foreign", "a trusted number is out of range, or the text is no number"),
    fix_code("number.missing", "the number's place is seen and is blank"),
    fix_code("number.end", "the number stands at the other end than the pack names"),
    fix_code("number.rotation", "the number is turned otherwise than the pack names"),
    retake_code("number.doubtful",
                "a trusted number contradicts the pack, not surely enough for a fault"),
    retake_code("number.unsure", "no trusted number"),
    fix_code("vent.repeat", "the vent is at the other end than the pack names for the slot"),
    note_or_retake("vent.unsure", "no trusted vent; a note where the sign settles the way round"),
    fix_code("sign.repeat", "the sign is not the one the pack names for the slot"),
    retake_code("sign.doubtful",
                "a trusted sign contradicts the pack, not surely enough for a fault"),
    note_or_retake("sign.unsure", "no trusted sign; a note where the vent settles the way round"),
    fix_code("stagger.over", "the module is further off the line than the limit"),
    note_code("stagger.near", "within the limit by less than two standard deviations"),
    retake_code("stagger.unsure", "not measured, or its deviation is over half the limit"),
    fix_code("seat.gap", "the gap to the next module is over the limit"),
    retake_code("seat.unsure", "the gap between two seen modules was not measured"),
    fix_code("count.short", "fewer modules than the pack has; its marks are not judged"),
    fix_code("count.long", "more modules than the pack has; its marks are not judged"),
    retake_code("count.unsure", "not every border was seen, whether or not the count fits"),
    fix_code("stack.reversed", "slot 1 has to be at the top and is not"),
    retake_code("stack.direction", "the edge of slot 1 is unknown; its marks are not judged"),
    retake_code("sides.disagree",
                "two sides contradict each other, so one photo is not to be used"),
    note_or_retake("photo.blurred", "taken over from the earlier stages, as the four below"),
    note_or_retake("photo.glare", "light reflected into the lens hides marks"),
    note_or_retake("photo.cropped", "part of the stack is outside the photo"),
    note_or_retake("photo.dark", "too little light"),
    note_or_retake("photo.covered", "slots that are not seen, where nothing else names them"),
    retake_code("photo.no_stack", "no stack was found"),
    retake_code("photo.reused", "one photo is given for two sides"),
    note_code("photo.apart", "more than 30 minutes lie between the first photo and the last"),
    retake_code("evidence.incomplete",
                "nothing wrong was found, yet not everything was seen right"),
};

}  // namespace plumbstack
