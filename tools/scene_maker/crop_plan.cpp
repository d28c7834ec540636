#include "crop_plan.hpp"

#include <vector>

namespace scene {
namespace {

// Half turned, these stay numbers (with square digits 2 and 5 too); quarter turned, 0, 1 and 8 look
// like signs that are no clear answer either way.
constexpr const char* kTurnable = "0125689";
constexpr const char* kSideways = "018";

CropPlan turned(Dice& dice) {
  const bool upside = dice.chance(0.55);
  CropPlan plan;
  do {
    plan.text = any_number(dice);
  } while (plan.text.find_first_not_of(upside ? kTurnable : kSideways) == std::string::npos);
  plan.kind = upside ? CropKind::upside_down : CropKind::sideways;
  plan.turn = upside ? 2 : dice.pick({1, 3});
  return plan;
}

}  // namespace

std::string any_number(Dice& dice) {
  const double length = dice.uniform(0, 1);
  if (length < 0.25) return std::to_string(dice.whole(0, 9));
  if (length < 0.28) return "11";  // two bare strokes: the hardest to read
  if (length < 0.79) return std::to_string(dice.whole(10, 99));
  if (length < 0.89) return std::to_string(dice.whole(100, 999));
  std::string text = std::to_string(dice.whole(0, 9999));
  return std::string(4 - text.size(), '0') + text;  // 0612 is a figure of four digits, too
}

std::string any_word(Dice& dice) {
  static const std::vector<std::string> words{
      "CAP", "NIMH", "OK",  "VENT", "HV",  "PACK", "MAX", "NEW", "BAD", "RE",  "WEAK", "TEST",
      "PN",  "AH",   "VDC", "MADE", "REF", "KEEP", "TOP", "END", "FAN", "MOD", "HOT",  "+",
      "-",   "K",    "R",   "W",    "X",   "H",    "M",   "A",   "N",   "E",   "F"};
  const double kind = dice.uniform(0, 1);
  if (kind < 0.6) return dice.pick(words);
  if (kind < 0.8) {  // letters that are no digit's likeness, with a number behind
    const std::string letters = "ACEFHKMNPRVWX";
    return std::string(1, letters[static_cast<std::size_t>(dice.whole(0, 12))]) + "-" +
           std::to_string(dice.whole(0, 99));
  }
  if (kind < 0.9) return std::to_string(dice.whole(1, 99)) + (dice.chance(0.5) ? "V" : "AH");
  return std::to_string(dice.whole(1, 28)) + "/" + std::to_string(dice.whole(10, 99));
}

CropPlan plan_crop(Dice& dice) {
  CropPlan plan;
  plan.text = any_number(dice);
  if (!dice.chance(0.11)) return plan;  // the writer says which kind of number
  const double kind = dice.uniform(0, 1);
  if (kind < 0.3) return turned(dice);
  plan.kind = kind < 0.55   ? CropKind::blank
              : kind < 0.73 ? CropKind::letters
              : kind < 0.85 ? CropKind::cut
              : kind < 0.93 ? CropKind::unreadable
                            : CropKind::covered;
  if (plan.kind == CropKind::blank) plan.text.clear();
  if (plan.kind == CropKind::cut && dice.chance(0.5)) plan.text.resize(1);
  if (plan.kind == CropKind::letters) plan.text = any_word(dice);
  return plan;
}

std::array<unsigned char, 8> label_of(const CropPlan& plan, bool ambiguous) {
  std::array<unsigned char, 8> label{0, 10, 10, 10, 10, 0, 0, 0};
  if (plan.is_number()) {
    label[0] = static_cast<unsigned char>(plan.text.size());
    for (std::size_t i = 0; i < plan.text.size(); ++i)
      label[1 + i] = static_cast<unsigned char>(plan.text[i] - '0');
  }
  label[5] = static_cast<unsigned char>(plan.kind);
  label[6] = ambiguous ? 1 : 0;
  return label;
}

}  // namespace scene
