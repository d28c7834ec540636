// Writing on modules: fonts, digits by real hands, and strokes drawn like a marker's.
#pragma once

#include <array>
#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "dice.hpp"

namespace scene {

enum class Hand { strokes, real_digits, font, stencil };

/// One person's or one machine's way of writing, kept for a whole stack.
struct Writer {
  Hand hand = Hand::strokes;
  std::size_t font = 0;
  std::array<int, 10> variant{};  // which skeleton of each digit
  double slant = 0;               // shear, x per y
  double width = 1;               // of a digit against its usual width
  double spacing = 0.2;           // between digits, of the height
  double pen = 0.11;              // stroke width, of the height
  double shake = 0.02;            // jitter of the stroke's points, of the height
  double wander = 0.02;           // jitter of digits' height and base line
  double dryness = 0;             // 0 solid ink .. 1 streaky
  double soft = 0;                // blur of the edge, of the height
  bool chisel = false;            // flat nib
};

/// The fonts and hands that lettering is drawn from; read once, then const.
class LetteringShop {
 public:
  /// @param fonts folder of .ttf and .otf; @param hands the bank of real digits.
  /// Throws std::runtime_error where either is missing: a scene without its hands is no scene.
  LetteringShop(const std::filesystem::path& fonts, const std::filesystem::path& hands, bool held_out);
  ~LetteringShop();
  LetteringShop(const LetteringShop&) = delete;
  LetteringShop& operator=(const LetteringShop&) = delete;

  Writer any_writer(Dice& dice) const;
  Writer printed(Dice& dice) const;
  /// Upright mask, CV_8U, tight around the ink with 2 px to spare; `height_px` is a digit's height.
  cv::Mat draw(const std::string& text, double height_px, const Writer& writer, Dice& dice) const;
  /// 28x28, CV_8U, a real hand's digit.
  cv::Mat real_digit(int digit, Dice& dice) const;

 private:
  struct Faces;
  std::unique_ptr<Faces> faces_;
  std::vector<unsigned char> bank_;
  int first_ = 0, count_ = 0, per_digit_ = 0;
};

}  // namespace scene
