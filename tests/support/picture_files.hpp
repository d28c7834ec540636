// Small picture files with known pixels and known EXIF, built byte by byte where the point of a
// test is in the bytes.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace plumbstack::test {

using File = std::vector<std::uint8_t>;

/// 48 x 32 px, its quarters red, green / blue, white: no two of the eight orientations look alike.
cv::Mat four_quarters();

/// The pixels to store so that EXIF orientation 1..8 displays `shown`, after the wording of CIPA
/// DC-008 (which side of the displayed picture the stored row 0 and column 0 are), pixel by pixel.
cv::Mat stored_for(const cv::Mat& shown, int orientation);

struct ExifValues {
  int orientation = 1;
  std::string taken_at;        // 19 characters; empty = left out
  std::uint32_t focal_tenths;  // focal length in 1/10 mm; 0 = left out
  std::uint16_t focal_35mm;    // mm; 0 = left out
  bool little_endian = true;
};

/// EXIF block from its byte-order mark on.
File exif_block(const ExifValues& values);

File jpeg_file(const cv::Mat& bgr, const File& exif_block = {});
File png_file(const cv::Mat& pixels, const File& exif_block = {});  // any depth that PNG has
/// Uncompressed 8- or 16-bit BGR or grey with the directory behind the pixels, as most programs
/// write.
File tiff_file(const cv::Mat& pixels, int orientation = 1, bool little_endian = true);
/// `bgr` as stored; the file's own rotation box turns it by a quarter clockwise where `turned`.
File heic_file(const cv::Mat& bgr, bool turned, const File& exif_block = {});
/// Four ink planes, written inverted as photo programs do.
File cmyk_jpeg_file(const cv::Mat& cmyk_inverted);

}  // namespace plumbstack::test
