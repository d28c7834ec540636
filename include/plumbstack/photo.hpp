// bytes -> Photo: displayed pixels, fingerprint, EXIF.
#pragma once

#include <cstdint>
#include <filesystem>
#include <opencv2/core.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct PhotoOptions {
  double max_megapixels = 108;  // checked against the header before anything is decoded
  bool keep_bytes = false;      // so that the pixels can be let go and made again
};

struct Photo {
  std::string file;                     // as given by the caller
  cv::Mat pixels;                       // 8-bit BGR, displayed orientation; empty once let go
  std::string sha256;                   // of the file's bytes, 64 lower-case hex digits
  int exif_orientation = 1;             // 1..8 as stored in the file
  std::optional<std::string> taken_at;  // EXIF DateTimeOriginal, "YYYY:MM:DD HH:MM:SS"
  std::optional<double> focal_length_mm;
  std::optional<double> focal_length_35mm;
  std::vector<std::uint8_t> bytes;  // of the file, where they are kept
  cv::Size let_go_size;             // of pixels that were let go
};

/// Pixels take ten times the memory of the file's bytes: where those are kept the pixels go.
void let_go_of_pixels(Photo& photo);
/// Of the pixels, whether they are there or were let go.
cv::Size size_of(const Photo& photo);
/// Those of the photo, or where they were let go the same made anew from its bytes.
cv::Mat pixels_of(const Photo& photo);

/// Decodes JPEG, PNG, TIFF or HEIC (told apart by content, never by name) and turns the pixels as
/// EXIF says (HEIF's own rotation boxes are applied by its decoder and not twice).
/// Errors: photo_unreadable, photo_too_large, photo_format.
Result<Photo> decode_photo(std::span<const std::uint8_t> bytes, const std::string& file,
                           const PhotoOptions& options = {});
Result<Photo> load_photo(const std::filesystem::path& file, const PhotoOptions& options = {});

/// SHA-256 (FIPS 180-4) as 64 lower-case hex digits.
std::string sha256_hex(std::span<const std::uint8_t> bytes);

/// A picture as the bytes of a JPEG file (ITU-T T.81, baseline).
/// @param bgr 8-bit, three channels, at most 65,500 px wide and high
/// @param quality 1..100
/// @return empty where the picture is, or is of another kind
std::vector<unsigned char> jpeg_bytes(const cv::Mat& bgr, int quality);

}  // namespace plumbstack
