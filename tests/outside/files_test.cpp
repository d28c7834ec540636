// Values published elsewhere for the files we read.
#include <gtest/gtest.h>

#include <span>
#include <string>

#include "picture_files.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

std::string sha256_of(const std::string& text) {
  return sha256_hex({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

// FIPS 180-4, with the example values that NIST publishes for SHA-256.
TEST(Sha256, Fips180) {
  EXPECT_EQ(sha256_of("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256_of(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256_of(std::string(1000000, 'a')),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

// CIPA DC-008 (Exif), tag 0x0112 Orientation, in the words that viewers use for its eight values:
// 1 normal, 2 mirror horizontal, 3 rotate 180, 4 mirror vertical, 5 mirror horizontal and rotate
// 270 clockwise, 6 rotate 90 clockwise, 7 mirror horizontal and rotate 90 clockwise, 8 rotate 270
// clockwise. Where the stored picture's corners (red, green / blue, white) end up by those words:
TEST(ExifOrientation, CipaDc008) {
  const std::string shown_corners[] = {"RG/BW", "GR/WB", "WB/GR", "BW/RG",
                                       "RB/GW", "BR/WG", "WG/BR", "GW/RB"};
  const auto name = [](const cv::Vec3b& c) {
    return c[0] > 128 ? (c[1] > 128 ? 'W' : 'B') : c[1] > 128 ? 'G' : 'R';
  };
  const cv::Mat stored = test::four_quarters();
  for (int orientation = 1; orientation <= 8; ++orientation) {
    const auto photo = decode_photo(
        test::jpeg_file(stored, test::exif_block({orientation, "", 0, 0})), "photo.jpg");
    ASSERT_TRUE(photo);
    const cv::Mat& p = photo->pixels;
    const int right = p.cols - 3, bottom = p.rows - 3;
    const std::string corners{name(p.at<cv::Vec3b>(2, 2)), name(p.at<cv::Vec3b>(2, right)), '/',
                              name(p.at<cv::Vec3b>(bottom, 2)),
                              name(p.at<cv::Vec3b>(bottom, right))};
    EXPECT_EQ(corners, shown_corners[orientation - 1]) << "orientation " << orientation;
    EXPECT_EQ(p.cols, orientation < 5 ? stored.cols : stored.rows);
  }
}

}  // namespace
}  // namespace plumbstack
