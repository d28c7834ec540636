#include "plumbstack/photo.hpp"

#include <gmock/gmock.h>

#include <opencv2/imgcodecs.hpp>

#include "files.hpp"
#include "picture_files.hpp"
#include "plumbstack/file_sha256.hpp"

namespace plumbstack {
namespace {

using test::File;
using testing::HasSubstr;

// Largest difference of any channel away from the borders of the quarters, which JPEG softens.
double difference(const cv::Mat& a, const cv::Mat& b) {
  if (a.size() != b.size() || a.type() != b.type()) return 1e9;
  double worst = 0;
  for (int y = 2; y < a.rows; y += 4)
    for (int x = 2; x < a.cols; x += 4)
      worst = std::max(worst, cv::norm(a.at<cv::Vec3b>(y, x), b.at<cv::Vec3b>(y, x), cv::NORM_INF));
  return worst;
}

struct Format {
  const char* name;
  File (*file)(const cv::Mat& stored, int orientation);
  double tolerance;  // grey levels
};

const Format kFormats[] = {
    {"jpeg",
     [](const cv::Mat& m, int o) {
       return test::jpeg_file(m, test::exif_block({o, "", 0, 0}));
     },
     12},
    {"jpeg_big_endian",
     [](const cv::Mat& m, int o) {
       return test::jpeg_file(m, test::exif_block({o, "", 0, 0, false}));
     },
     12},
    {"png",
     [](const cv::Mat& m, int o) {
       return test::png_file(m, test::exif_block({o, "", 0, 0}));
     },
     0},
    {"tiff", [](const cv::Mat& m, int o) { return test::tiff_file(m, o); }, 0},
    {"tiff_big_endian", [](const cv::Mat& m, int o) { return test::tiff_file(m, o, false); }, 0},
};

class Orientation : public testing::TestWithParam<std::tuple<Format, int>> {};

TEST_P(Orientation, IsAppliedOnce) {
  const auto& [format, orientation] = GetParam();
  const cv::Mat shown = test::four_quarters();
  const auto photo =
      decode_photo(format.file(test::stored_for(shown, orientation), orientation), "photo");
  ASSERT_TRUE(photo) << photo.error().message;
  EXPECT_EQ(photo->exif_orientation, orientation);
  EXPECT_LE(difference(photo->pixels, shown), format.tolerance);
}

TEST_P(Orientation, IsTheSameWherePixelsWereLetGo) {
  const auto& [format, orientation] = GetParam();
  const File file = format.file(test::stored_for(test::four_quarters(), orientation), orientation);
  auto photo = decode_photo(file, "photo", {0.1, true});
  ASSERT_TRUE(photo) << photo.error().message;
  const cv::Mat before = photo->pixels.clone();
  EXPECT_EQ(size_of(*photo), before.size());
  let_go_of_pixels(*photo);
  EXPECT_TRUE(photo->pixels.empty());
  EXPECT_EQ(size_of(*photo), before.size());
  EXPECT_EQ(cv::norm(pixels_of(*photo), before, cv::NORM_INF), 0);
}

INSTANTIATE_TEST_SUITE_P(All, Orientation,
                         testing::Combine(testing::ValuesIn(kFormats), testing::Range(1, 9)),
                         [](const auto& p) {
                           return std::string(std::get<0>(p.param).name) + "_" +
                                  std::to_string(std::get<1>(p.param));
                         });

TEST(Heic, ItsOwnRotationIsNotAppliedTwice) {
  const cv::Mat shown = test::four_quarters();
  // As phones write it: the pixels lie, a rotation box turns them, and EXIF says 6 besides.
  const File file = test::heic_file(test::stored_for(shown, 6), true,
                                    test::exif_block({6, "2026:11:25 09:49:00", 42, 26}));
  const auto photo = decode_photo(file, "photo.heic");
  ASSERT_TRUE(photo) << photo.error().message;
  EXPECT_EQ(photo->exif_orientation, 6);
  EXPECT_EQ(photo->taken_at.value_or("none"), "2026:11:25 09:49:00");
  EXPECT_LE(difference(photo->pixels, shown), 40);  // chroma is halved in both directions
}

TEST(Exif, TimeAndFocalLength) {
  const cv::Mat shown = test::four_quarters();
  for (const bool little : {true, false}) {
    const File exif = test::exif_block({1, "2026:11:25 09:49:00", 42, 26, little});
    for (const File& file : {test::jpeg_file(shown, exif), test::png_file(shown, exif)}) {
      const auto photo = decode_photo(file, "photo");
      ASSERT_TRUE(photo);
      EXPECT_EQ(photo->taken_at.value_or("none"), "2026:11:25 09:49:00");
      EXPECT_DOUBLE_EQ(photo->focal_length_mm.value_or(0), 4.2);
      EXPECT_DOUBLE_EQ(photo->focal_length_35mm.value_or(0), 26);
    }
  }
}

TEST(Exif, AbsentOrUnsetValuesStayAbsent) {
  const cv::Mat shown = test::four_quarters();
  for (const File& exif : {File{}, test::exif_block({9, "", 0, 0}),
                           test::exif_block({0, "0000:00:00 00:00:00", 0, 0})}) {
    const auto photo = decode_photo(test::jpeg_file(shown, exif), "photo");
    ASSERT_TRUE(photo);
    EXPECT_EQ(photo->exif_orientation, 1);
    EXPECT_FALSE(photo->taken_at);
    EXPECT_FALSE(photo->focal_length_mm);
    EXPECT_FALSE(photo->focal_length_35mm);
  }
}

TEST(Pixels, SixteenBitAndGreyBecomeEightBitColour) {
  cv::Mat deep(8, 8, CV_16UC3, cv::Scalar(0x4040, 0x8080, 0xC0C0));
  const cv::Mat grey(8, 8, CV_8UC1, cv::Scalar(77));
  const cv::Mat deep_grey(8, 8, CV_16UC1, cv::Scalar(0x4D4D));
  for (const bool tiff : {true, false}) {
    const auto file = [&](const cv::Mat& m) {
      return tiff ? test::tiff_file(m) : test::png_file(m);
    };
    const std::pair<cv::Mat, cv::Vec3b> cases[] = {
        {deep, {0x40, 0x80, 0xC0}}, {grey, {77, 77, 77}}, {deep_grey, {77, 77, 77}}};
    for (const auto& [pixels, expected] : cases) {
      const auto photo = decode_photo(file(pixels), "photo");
      ASSERT_TRUE(photo);
      ASSERT_EQ(photo->pixels.type(), CV_8UC3);
      EXPECT_LE(cv::norm(photo->pixels.at<cv::Vec3b>(4, 4), expected, cv::NORM_INF), 1)
          << (tiff ? "tiff" : "png") << photo->pixels.at<cv::Vec3b>(4, 4);
    }
  }
  EXPECT_TRUE(decode_photo(test::jpeg_file(grey), "photo"));
}

TEST(Pixels, FourInksBecomeColour) {
  const cv::Mat inverted(16, 16, CV_8UC4, cv::Scalar(200, 100, 50, 255));  // no black ink
  const auto photo = decode_photo(test::cmyk_jpeg_file(inverted), "photo");
  ASSERT_TRUE(photo) << photo.error().message;
  EXPECT_LE(cv::norm(photo->pixels.at<cv::Vec3b>(8, 8), cv::Vec3b(50, 100, 200), cv::NORM_INF), 3);
}

// Sizes to which the file can be cut and still be taken for a whole one; `tail` bytes at its end
// carry nothing of the picture.
std::vector<std::size_t> cuts_not_seen(const File& file, std::size_t tail) {
  std::vector<std::size_t> missed;
  for (std::size_t size = 0; size < file.size() - tail; ++size) {
    const auto photo = decode_photo(std::span(file).first(size), "cut.jpg");
    if (photo || exit_code_of(photo.error().code) != ExitCode::bad_input ||
        photo.error().where != "cut.jpg")
      missed.push_back(size);
  }
  return missed;
}

TEST(Damage, EveryCutIsAnErrorAndSaysNothingElse) {
  const cv::Mat shown = test::four_quarters();
  const File exif = test::exif_block({6, "2026:11:25 09:49:00", 42, 26});
  struct Whole {
    const char* name;
    File file;
    std::size_t tail;
  };
  const Whole whole[] = {{"jpeg", test::jpeg_file(shown, exif), 0},
                         {"png", test::png_file(shown, exif), 12},  // end chunk
                         {"tiff", test::tiff_file(shown, 6), 4},    // no further directory
                         {"heic", test::heic_file(shown, false), 0}};
  for (const auto& [name, file, tail] : whole) {
    ASSERT_TRUE(decode_photo(file, name)) << name;
    testing::internal::CaptureStderr();
    testing::internal::CaptureStdout();
    const auto missed = cuts_not_seen(file, tail);
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "") << name;
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "") << name;
    EXPECT_THAT(missed, testing::IsEmpty()) << name << " of " << file.size() << " bytes";
  }
}

TEST(Damage, BytesLostInTheMiddleOfAJpegAreSeen) {
  cv::Mat busy(240, 320, CV_8UC3);
  cv::RNG dice(7);
  dice.fill(busy, cv::RNG::UNIFORM, 0, 256);
  File file = test::jpeg_file(busy);
  std::fill_n(file.begin() + static_cast<std::ptrdiff_t>(file.size() / 2), 512, std::uint8_t{0xFF});
  EXPECT_FALSE(decode_photo(file, "photo"));
}

TEST(Refusals, EmptyAndOtherFiles) {
  const auto empty = decode_photo({}, "empty.jpg");
  ASSERT_FALSE(empty);
  EXPECT_EQ(empty.error().code, ErrorCode::photo_unreadable);
  EXPECT_EQ(empty.error().where, "empty.jpg");
  const std::string note = "Fennel Lane, FL-0142: photos are on the other card";
  const auto text =
      decode_photo({reinterpret_cast<const std::uint8_t*>(note.data()), note.size()}, "note.jpg");
  ASSERT_FALSE(text);
  EXPECT_EQ(text.error().code, ErrorCode::photo_format);
}

// The size stands in the header alone: none of these files holds a pixel.
TEST(Refusals, TooLargeByHeaderBeforeDecoding) {
  const cv::Mat shown = test::four_quarters();
  File jpeg = test::jpeg_file(shown), png = test::png_file(shown), tiff = test::tiff_file(shown);
  for (std::size_t i = 0; i + 8 < jpeg.size(); ++i)
    if (jpeg[i] == 0xFF && jpeg[i + 1] == 0xC0)
      jpeg[i + 5] = jpeg[i + 7] = 0xEA, jpeg.resize(i + 12);
  png[17] = png[21] = 1;
  png.resize(33);
  const std::size_t directory = 8 + shown.total() * 3;
  tiff[directory + 2 + 10] = tiff[directory + 14 + 10] = 1;
  for (const File& file : {jpeg, png, tiff}) {
    const auto photo = decode_photo(file, "photo");
    ASSERT_FALSE(photo);
    EXPECT_EQ(photo.error().code, ErrorCode::photo_too_large);
    EXPECT_THAT(photo.error().message, HasSubstr("the limit is 108.0"));
  }
}

TEST(Refusals, LimitIsSettableAndInclusive) {
  const cv::Mat shown = test::four_quarters();
  const double size = double(shown.total()) / 1e6;
  for (const File& file : {test::jpeg_file(shown), test::png_file(shown), test::tiff_file(shown),
                           test::heic_file(shown, false)}) {
    EXPECT_TRUE(decode_photo(file, "photo", {size}));
    const auto refused = decode_photo(file, "photo", {size * 0.999});
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().code, ErrorCode::photo_too_large);
  }
}

// OpenCV's reader of JPEG is another one than ours.
TEST(WritingJpeg, IsReadBackByOthers) {
  const cv::Mat shown = test::four_quarters();
  const std::vector<unsigned char> bytes = jpeg_bytes(shown, 95);
  EXPECT_LE(difference(cv::imdecode(bytes, cv::IMREAD_COLOR), shown), 12);
  EXPECT_LT(jpeg_bytes(shown, 30).size(), bytes.size());
  EXPECT_TRUE(jpeg_bytes({}, 95).empty());
  EXPECT_TRUE(jpeg_bytes(cv::Mat::zeros(8, 8, CV_8UC1), 95).empty());
  EXPECT_TRUE(jpeg_bytes(cv::Mat::zeros(2, 70000, CV_8UC3), 95).empty());
}

TEST(Loading, PixelsStayWhereTheBytesAreNotKept) {
  auto photo = decode_photo(test::png_file(test::four_quarters()), "photo");
  ASSERT_TRUE(photo) << photo.error().message;
  let_go_of_pixels(*photo);
  EXPECT_FALSE(photo->pixels.empty());
}

TEST(Loading, NamesTheFile) {
  const test::ScratchFolder folder;
  const auto file = folder.write("side1.jpg", test::jpeg_file(test::four_quarters()));
  const auto photo = load_photo(file);
  ASSERT_TRUE(photo);
  EXPECT_EQ(photo->file, file.string());
  EXPECT_EQ(photo->sha256.size(), 64u);
  for (const auto& wrong :
       {folder.path() / "side2.jpg", folder.path(), folder.write("none.jpg", File{})}) {
    const auto failed = load_photo(wrong);
    ASSERT_FALSE(failed);
    EXPECT_EQ(failed.error().code, ErrorCode::photo_unreadable);
    EXPECT_EQ(failed.error().where, wrong.string());
  }
}

TEST(Loading, AFileReadInPiecesHasTheHashOfItsBytes) {
  const test::ScratchFolder folder;
  for (const std::size_t size : {0, 1, 65535, 65536, 65537, 200000}) {
    File bytes(size);
    for (std::size_t i = 0; i < size; ++i) bytes[i] = static_cast<File::value_type>(i * 7 >> 3);
    EXPECT_EQ(file_sha256(folder.write("photo", bytes)), sha256_hex(bytes)) << size;
  }
  EXPECT_EQ(file_sha256(folder.path() / "none"), std::nullopt);
  EXPECT_EQ(file_sha256(folder.path()), std::nullopt);
}

TEST(Loading, AFileLargerThanAnyPhotoIsNotRead) {
  const test::ScratchFolder folder;
  const auto file = folder.write("side1.jpg", test::jpeg_file(test::four_quarters()));
  std::filesystem::resize_file(file, std::uintmax_t{1} << 40);  // sparse: takes no room
  const auto photo = load_photo(file);
  ASSERT_FALSE(photo);
  EXPECT_EQ(photo.error().code, ErrorCode::photo_too_large);
}

}  // namespace
}  // namespace plumbstack
