// The photo stage's own parts.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <optional>
#include <span>
#include <string>

#include "plumbstack/photo.hpp"

namespace plumbstack {

using Bytes = std::span<const std::uint8_t>;

enum class ImageKind { unknown, jpeg, png, tiff, heif };

struct ImageHeader {
  ImageKind kind = ImageKind::unknown;
  std::int64_t width = 0, height = 0;  // as stored; 0 = could not be read
};

/// Kind by content and size by header, nothing decoded.
ImageHeader read_header(Bytes bytes);

struct ExifFacts {
  int orientation = 1;
  std::optional<std::string> taken_at;
  std::optional<double> focal_length_mm, focal_length_35mm;
};

/// Facts from an EXIF block, wherever the format keeps it; defaults where there is none.
ExifFacts read_exif(Bytes file, ImageKind kind);
ExifFacts parse_exif(Bytes tiff_block);

/// Pixels turned as EXIF Orientation 1..8 says (CIPA DC-008, tag 0x0112).
cv::Mat displayed(const cv::Mat& stored, int orientation);

struct HeifImage {
  cv::Mat pixels;  // 8-bit BGR, already turned by the file's own boxes
  ExifFacts exif;
};
std::optional<cv::Size> heif_size(Bytes bytes);
std::optional<HeifImage> decode_heif(Bytes bytes);

}  // namespace plumbstack
