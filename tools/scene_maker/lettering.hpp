// Writing on modules: fonts, digits by real hands, and strokes drawn like a marker's.
#pragma once

#include <array>
#include <filesystem>
#include <opencv2/core.hpp>
#include <string>

#include "dice.hpp"
#include "digit_bank.hpp"
#include "fonts.hpp"
#include "ink.hpp"
#include "pen.hpp"

namespace scene {

enum class Hand { strokes, real_digits, font, stencil, stamp };

enum class LetteringKind { any, handwritten, printed, stencilled, stamped, small_print };

/// One person's or one machine's way of writing, kept for a whole stack.
struct Writer {
  Hand hand = Hand::strokes;
  std::size_t font = 0;                    // for what is not written by hand
  OutlineStyle outline;                    // how the font is bent
  std::array<int, 10> variant{};           // which skeleton of each digit
  std::array<std::vector<int>, 10> habit;  // the real digits that are much like this person's own
  std::uint64_t seed = 1;                  // of the person's own bends of the skeletons
  HandShape shape;
  Pen pen;
  Ink ink;
  double own = 0.02;     // sd of the person's own bends, of the height
  double spacing = 0.2;  // between digits, of the height; negative overlaps
  double uneven = 0.3;   // how much the spacing varies, of itself
  double wander = 0.02;  // sd of digits' size and base line, of the height
  double climb = 0;      // slope of the base line, y down per x
  double doubled = 0;    // chance that a number is written twice, one over the other
  double bridge = 0;     // gap of a stencil's bridges, of the height; 0 none
  bool upright_bridge = true;
};

/// An upright mask and how it was made.
struct Lettering {
  cv::Mat alpha;      // CV_8U, tight around the ink and 2 px more; empty where nothing was drawn
  std::string style;  // "font:NAME", "hand", "mnist", "stencil" or "stamp"
};

/// The fonts and hands that lettering is drawn from; read once, then const.
class LetteringShop {
 public:
  static constexpr double kRealHands = 0.25;

  /// @param fonts folder of .ttf and .otf; @param hands the bank of real digits.
  /// @param real_hands share of handwriting that real digits take, 0..0.65; the rest is pen strokes
  /// and fonts
  /// Throws std::runtime_error where either is missing: a scene without its hands is no scene.
  LetteringShop(const std::filesystem::path& fonts, const std::filesystem::path& hands,
                bool held_out, double real_hands = kRealHands);

  Writer any_writer(Dice& dice) const;
  Writer printed(Dice& dice) const;
  Writer writer(LetteringKind kind, Dice& dice) const;
  /// Upright mask, CV_8U, tight around the ink with 2 px to spare; `height_px` is a digit's height.
  cv::Mat draw(const std::string& text, double height_px, const Writer& writer, Dice& dice) const;
  Lettering letter(const std::string& text, double height_px, LetteringKind kind, Dice& dice) const;
  std::string style(const Writer& writer) const;
  const Fonts& fonts() const { return fonts_; }

 private:
  Writer by_marker(Dice& dice) const;
  std::vector<int> habit_of(int digit, const Writer& writer, double steady, Dice& dice) const;
  Writer by_stencil(Dice& dice) const;
  Writer by_stamp(Dice& dice) const;
  std::size_t any_font(Dice& dice) const;
  Glyph glyph(char letter, double height, const Writer& writer, Dice& dice) const;
  Glyph real_digit(int digit, double height, const Writer& writer, Dice& dice) const;
  Glyph stroke_digit(int digit, double height, const Writer& writer, Dice& dice) const;

  Fonts fonts_;
  DigitBank bank_;
  BankPart part_;
  double real_hands_;
};

}  // namespace scene
