// The photo stage's own parts: one file per format, each told apart and measured by
// image_header.cpp.
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
  std::int64_t width = 0, height = 0;  // px as stored; 0 = could not be read
};

/// Kind by content and size by header, nothing decoded.
ImageHeader read_header(Bytes bytes);

struct ExifFacts {
  int orientation = 1;                                       // 1..8, 1 = none given
  std::optional<std::string> taken_at;                       // "YYYY:MM:DD HH:MM:SS"
  std::optional<double> focal_length_mm, focal_length_35mm;  // nullopt = not given
};

/// Facts from an EXIF block (from its byte-order mark on); defaults where it holds none.
ExifFacts parse_exif(Bytes tiff_block);

struct Decoded {
  cv::Mat pixels;  // 8-bit BGR as stored; HEIF: already turned by the file's own boxes
  ExifFacts exif;
};

// nullopt: damaged, cut short, or its size is not what `header` said. None of them prints.
std::optional<Decoded> decode_jpeg(Bytes bytes, const ImageHeader& header);
std::optional<Decoded> decode_png(Bytes bytes, const ImageHeader& header);
std::optional<Decoded> decode_tiff(Bytes bytes, const ImageHeader& header);
std::optional<Decoded> decode_heif(Bytes bytes, const ImageHeader& header);
std::optional<cv::Size> heif_size(Bytes bytes);

/// Pixels turned as EXIF Orientation 1..8 says (CIPA DC-008, tag 0x0112).
cv::Mat displayed(const cv::Mat& stored, int orientation);

}  // namespace plumbstack
