#include "digit_bank.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <iterator>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

namespace scene {
namespace {

// "HAND", then three little-endian 32-bit numbers: digits (10), training and held-out per digit.
constexpr std::size_t kHead = 16;
constexpr std::size_t kPicture = DigitBank::kSide * DigitBank::kSide;
constexpr int kCoarseSide = DigitBank::kSide / 2;
constexpr std::size_t kCoarse = kCoarseSide * kCoarseSide;

}  // namespace

DigitBank::DigitBank(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::vector<unsigned char> bytes((std::istreambuf_iterator<char>(in)), {});
  if (bytes.size() < kHead || std::memcmp(bytes.data(), "HAND", 4) != 0)
    throw std::runtime_error("no bank of digits in " + file.string());
  std::array<std::int32_t, 3> head{};
  std::memcpy(head.data(), bytes.data() + 4, sizeof head);
  training_ = head[1];
  held_out_ = head[2];
  const std::size_t pictures = 10 * static_cast<std::size_t>(training_ + held_out_);
  if (head[0] != 10 || training_ < 1 || held_out_ < 1 ||
      bytes.size() != kHead + pictures * kPicture)
    throw std::runtime_error("the bank of digits " + file.string() + " is not whole");
  pixels_.assign(bytes.begin() + kHead, bytes.end());
  coarse_.resize(pictures * kCoarse);
  for (std::size_t i = 0; i < pictures; ++i) {
    const cv::Mat picture(kSide, kSide, CV_8U, pixels_.data() + i * kPicture);
    cv::Mat coarse(kCoarseSide, kCoarseSide, CV_8U, coarse_.data() + i * kCoarse);
    cv::resize(picture, coarse, coarse.size(), 0, 0, cv::INTER_AREA);
    const cv::Moments m = cv::moments(picture);
    slants_.push_back(m.mu02 > 0 ? -m.mu11 / m.mu02 : 0);
    cv::Mat inside;
    cv::erode(picture > 100, inside, cv::Mat::ones(3, 3, CV_8U));
    boldness_.push_back(cv::countNonZero(inside) /
                        std::max(1.0, 1.0 * cv::countNonZero(picture > 100)));
  }
}

std::size_t DigitBank::index(BankPart part, int digit, int which) const {
  const int first = part == BankPart::training ? 0 : training_;
  return static_cast<std::size_t>(digit * (training_ + held_out_) + first + which);
}

cv::Mat DigitBank::picture(BankPart part, int digit, int which) const {
  const unsigned char* data = pixels_.data() + index(part, digit, which) * kPicture;
  return cv::Mat(kSide, kSide, CV_8U, const_cast<unsigned char*>(data));
}

double DigitBank::boldness(BankPart part, int digit, int which) const {
  return boldness_[index(part, digit, which)];
}

double DigitBank::slant(BankPart part, int digit, int which) const {
  return slants_[index(part, digit, which)];
}

std::vector<int> DigitBank::like(BankPart part, int digit, int which, int most) const {
  const unsigned char* one = coarse_.data() + index(part, digit, which) * kCoarse;
  std::vector<std::pair<int, int>> apart;  // and which
  for (int i = 0; i < count(part); ++i) {
    const unsigned char* other = coarse_.data() + index(part, digit, i) * kCoarse;
    int sum = 0;
    for (std::size_t k = 0; k < kCoarse; ++k) sum += std::abs(int(one[k]) - int(other[k]));
    apart.emplace_back(i == which ? -1 : sum, i);
  }
  const auto end = apart.begin() + std::min<std::ptrdiff_t>(most, std::ssize(apart));
  std::partial_sort(apart.begin(), end, apart.end());
  std::vector<int> found;
  std::transform(apart.begin(), end, std::back_inserter(found), [](auto& a) { return a.second; });
  return found;
}

}  // namespace scene
