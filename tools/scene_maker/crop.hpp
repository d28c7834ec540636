// One training crop of the number reader, drawn from its own seed.
#pragma once

#include <array>

#include "lettering.hpp"

namespace scene {

struct Crop {
  static constexpr int kWidth = 96, kHeight = 48;  // px
  cv::Mat pixels;                                  // CV_8U, kHeight x kWidth
  std::array<unsigned char, 8> label{};            // as label_of writes it
};

/// What `writer` writes on some plastic; other writing in the crop is by others.
Crop draw_crop(const LetteringShop& shop, const Writer& writer, Dice& dice);

}  // namespace scene
