// Digits by real hands, one file, in two parts that are never mixed.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <vector>

namespace scene {

enum class BankPart { training, held_out };

/// 28 x 28 pictures of digits, white ink on black. Read once, then const.
class DigitBank {
 public:
  static constexpr int kSide = 28;  // px

  /// Throws std::runtime_error where the file is missing or not of the length that its head tells.
  explicit DigitBank(const std::filesystem::path& file);

  /// Pictures of each digit in a part.
  int count(BankPart part) const { return part == BankPart::training ? training_ : held_out_; }
  /// CV_8U, a view into the bank: `digit` 0..9, `which` 0..count(part)-1.
  cv::Mat picture(BankPart part, int digit, int which) const;
  /// Shear of the digit, x per y, positive leans to the right; from its second moments.
  double slant(BankPart part, int digit, int which) const;
  /// Share of the ink that is left when its edge is taken away: 0.05 thin .. 0.5 bold.
  double boldness(BankPart part, int digit, int which) const;
  /// The `most` pictures of the same digit that differ least from this one, itself first.
  std::vector<int> like(BankPart part, int digit, int which, int most) const;

 private:
  std::size_t index(BankPart part, int digit, int which) const;

  std::vector<unsigned char> pixels_;
  std::vector<unsigned char> coarse_;  // each picture at half its size
  std::vector<double> slants_, boldness_;
  int training_ = 0, held_out_ = 0;  // of each digit
};

}  // namespace scene
