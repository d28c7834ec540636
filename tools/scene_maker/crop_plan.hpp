// What one training crop of the number reader shows, and the label that goes with it.
#pragma once

#include <array>
#include <string>

#include "dice.hpp"

namespace scene {

/// Byte values of a record's kind: 1..9 hold a number, 16 and above hold none.
enum class CropKind : unsigned char {
  hand = 1,
  real_hand = 2,
  font = 3,
  stencil = 4,
  stamp = 5,
  blank = 16,
  upside_down = 17,
  sideways = 18,
  letters = 19,
  cut = 20,
  unreadable = 21,
  covered = 22,
};

struct CropPlan {
  std::string text;  // what is written in the middle; empty: nothing
  CropKind kind = CropKind::hand;
  int turn = 0;  // quarter turns clockwise, 0..3
  bool is_number() const { return static_cast<int>(kind) < 16; }
};

CropPlan plan_crop(Dice& dice);

/// One to four digits, evenly spread: short ones are more frequent.
std::string any_number(Dice& dice);
/// Words and marks that nobody reads as a number.
std::string any_word(Dice& dice);

/// The eight bytes after the pixels: length 0..4, four digits (10: none), kind, ambiguous, and 0 (1
/// for the same hand as the record before).
std::array<unsigned char, 8> label_of(const CropPlan& plan, bool ambiguous);

}  // namespace scene
