#include "picture_files.hpp"

#include <array>
#include <cstdio>
#include <opencv2/imgcodecs.hpp>
// clang-format off
#include <jpeglib.h>
#include <libheif/heif.h>
// clang-format on

#include <stdexcept>

namespace plumbstack::test {
namespace {

void put(File& to, std::uint64_t value, int bytes, bool little) {
  for (int i = 0; i < bytes; ++i)
    to.push_back(static_cast<std::uint8_t>(value >> 8 * (little ? i : bytes - 1 - i)));
}

void append(File& to, const File& more) {
  for (const std::uint8_t byte : more) to.push_back(byte);
}

// One directory entry whose value fits into its four bytes.
void put_entry(File& to, int tag, int type, std::uint64_t value, bool little) {
  put(to, static_cast<std::uint64_t>(tag), 2, little);
  put(to, static_cast<std::uint64_t>(type), 2, little);
  put(to, 1, 4, little);
  put(to, value, type == 3 ? 2 : 4, little);
  if (type == 3) put(to, 0, 2, little);
}

File header(bool little, std::uint64_t directory_at) {
  File out = little ? File{'I', 'I'} : File{'M', 'M'};
  put(out, 42, 2, little);
  put(out, directory_at, 4, little);
  return out;
}

std::uint32_t crc32_of(const File& bytes) {  // ISO/IEC 15948 annex D
  std::uint32_t crc = 0xFFFFFFFFu;
  for (const std::uint8_t byte : bytes) {
    crc ^= byte;
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 1) ? 0xEDB88320u ^ (crc >> 1) : crc >> 1;
  }
  return ~crc;
}

File encoded(const char* kind, const cv::Mat& pixels) {
  File out;
  if (!cv::imencode(kind, pixels, out, {cv::IMWRITE_JPEG_QUALITY, 95}))
    throw std::runtime_error("no encoder");
  return out;
}

void need(heif_error error) {
  if (error.code != heif_error_Ok) throw std::runtime_error(error.message);
}

}  // namespace

cv::Mat four_quarters() {
  cv::Mat shown(32, 48, CV_8UC3);
  shown({0, 0, 24, 16}) = cv::Scalar(0, 0, 255);
  shown({24, 0, 24, 16}) = cv::Scalar(0, 255, 0);
  shown({0, 16, 24, 16}) = cv::Scalar(255, 0, 0);
  shown({24, 16, 24, 16}) = cv::Scalar(255, 255, 255);
  return shown;
}

cv::Mat stored_for(const cv::Mat& shown, int orientation) {
  const int w = shown.cols, h = shown.rows;
  cv::Mat stored(orientation < 5 ? h : w, orientation < 5 ? w : h, CV_8UC3);
  for (int r = 0; r < stored.rows; ++r)
    for (int c = 0; c < stored.cols; ++c) {
      const std::array<cv::Point, 8> shown_at{{
          {c, r},                  // 1: row 0 is the top,    column 0 the left
          {w - 1 - c, r},          // 2: row 0 is the top,    column 0 the right
          {w - 1 - c, h - 1 - r},  // 3: row 0 is the bottom, column 0 the right
          {c, h - 1 - r},          // 4: row 0 is the bottom, column 0 the left
          {r, c},                  // 5: row 0 is the left,   column 0 the top
          {w - 1 - r, c},          // 6: row 0 is the right,  column 0 the top
          {w - 1 - r, h - 1 - c},  // 7: row 0 is the right,  column 0 the bottom
          {r, h - 1 - c},          // 8: row 0 is the left,   column 0 the bottom
      }};
      stored.at<cv::Vec3b>(r, c) =
          shown.at<cv::Vec3b>(shown_at[static_cast<std::size_t>(orientation - 1)]);
    }
  return stored;
}

File exif_block(const ExifValues& v) {
  const bool little = v.little_endian;
  constexpr std::uint64_t kSub = 8 + 2 + 2 * 12 + 4;      // second directory
  constexpr std::uint64_t kData = kSub + 2 + 3 * 12 + 4;  // values too long for their entry
  File out = header(little, 8);
  put(out, 2, 2, little);
  put_entry(out, 0x0112, 3, static_cast<std::uint64_t>(v.orientation), little);
  put_entry(out, 0x8769, 4, kSub, little);
  put(out, 0, 4, little);
  // A left-out value gets a tag that nobody reads.
  put(out, 3, 2, little);
  put(out, v.taken_at.empty() ? 0xFDE8 : 0x9003, 2, little);
  put(out, 2, 2, little);
  put(out, 20, 4, little);
  put(out, kData, 4, little);
  put(out, v.focal_tenths ? 0x920A : 0xFDE9, 2, little);
  put(out, 5, 2, little);
  put(out, 1, 4, little);
  put(out, kData + 20, 4, little);
  put_entry(out, v.focal_35mm ? 0xA405 : 0xFDEA, 3, v.focal_35mm, little);
  put(out, 0, 4, little);
  std::string time = v.taken_at;
  time.resize(20, '\0');
  out.insert(out.end(), time.begin(), time.end());
  put(out, v.focal_tenths, 4, little);
  put(out, 10, 4, little);
  return out;
}

File jpeg_file(const cv::Mat& bgr, const File& exif) {
  File out = encoded(".jpg", bgr);
  if (exif.empty()) return out;
  File marker{0xFF, 0xE1};
  put(marker, exif.size() + 8, 2, false);
  append(marker, {'E', 'x', 'i', 'f', 0, 0});
  append(marker, exif);
  out.insert(out.begin() + 2, marker.begin(), marker.end());
  return out;
}

File png_file(const cv::Mat& pixels, const File& exif) {
  File out = encoded(".png", pixels);
  if (exif.empty()) return out;
  File named{'e', 'X', 'I', 'f'};
  append(named, exif);
  File chunk;
  put(chunk, exif.size(), 4, false);
  append(chunk, named);
  put(chunk, crc32_of(named), 4, false);
  out.insert(out.begin() + 33, chunk.begin(), chunk.end());  // behind IHDR
  return out;
}

File tiff_file(const cv::Mat& pixels, int orientation, bool little) {
  const int channels = pixels.channels();
  const int bytes = pixels.depth() == CV_16U ? 2 : 1;
  const auto size = pixels.total() * static_cast<std::size_t>(channels * bytes);
  File out = header(little, 8 + size);
  for (int r = 0; r < pixels.rows; ++r)
    for (int i = 0; i < pixels.cols * channels; ++i) {
      const int at = channels == 3 ? i - i % 3 + 2 - i % 3 : i;  // RGB in the file
      put(out, bytes == 2 ? pixels.ptr<std::uint16_t>(r)[at] : pixels.ptr(r)[at], bytes, little);
    }
  put(out, 10, 2, little);
  put_entry(out, 256, 4, static_cast<std::uint64_t>(pixels.cols), little);
  put_entry(out, 257, 4, static_cast<std::uint64_t>(pixels.rows), little);
  put_entry(out, 258, 3, static_cast<std::uint64_t>(8 * bytes), little);
  put_entry(out, 259, 3, 1, little);
  put_entry(out, 262, 3, channels == 3 ? 2 : 1, little);
  put_entry(out, 273, 4, 8, little);
  put_entry(out, 274, 3, static_cast<std::uint64_t>(orientation), little);
  put_entry(out, 277, 3, static_cast<std::uint64_t>(channels), little);
  put_entry(out, 278, 4, static_cast<std::uint64_t>(pixels.rows), little);
  put_entry(out, 279, 4, size, little);
  put(out, 0, 4, little);
  return out;
}

File heic_file(const cv::Mat& bgr, bool turned, const File& exif) {
  heif_context* context = heif_context_alloc();
  heif_encoder* encoder = nullptr;
  need(heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder));
  heif_encoder_set_lossy_quality(encoder, 90);
  heif_image* image = nullptr;
  need(heif_image_create(bgr.cols, bgr.rows, heif_colorspace_RGB, heif_chroma_interleaved_RGB,
                         &image));
  need(heif_image_add_plane(image, heif_channel_interleaved, bgr.cols, bgr.rows, 24));
  int stride = 0;
  std::uint8_t* to = heif_image_get_plane(image, heif_channel_interleaved, &stride);
  for (int r = 0; r < bgr.rows; ++r)
    for (int c = 0; c < bgr.cols; ++c)
      for (int i = 0; i < 3; ++i) to[r * stride + 3 * c + i] = bgr.at<cv::Vec3b>(r, c)[2 - i];
  heif_encoding_options* options = heif_encoding_options_alloc();
  if (turned) options->image_orientation = heif_orientation_rotate_90_cw;
  heif_image_handle* handle = nullptr;
  need(heif_context_encode_image(context, image, encoder, options, &handle));
  if (!exif.empty())
    need(heif_context_add_exif_metadata(context, handle, exif.data(),
                                        static_cast<int>(exif.size())));
  File out;
  heif_writer writer{1, [](heif_context*, const void* data, size_t size, void* user) {
                       const auto* bytes = static_cast<const std::uint8_t*>(data);
                       static_cast<File*>(user)->assign(bytes, bytes + size);
                       return heif_error{heif_error_Ok, heif_suberror_Unspecified, ""};
                     }};
  need(heif_context_write(context, &writer, &out));
  heif_image_handle_release(handle);
  heif_encoding_options_free(options);
  heif_image_release(image);
  heif_encoder_release(encoder);
  heif_context_free(context);
  return out;
}

File cmyk_jpeg_file(const cv::Mat& cmyk) {
  jpeg_compress_struct jpeg{};
  jpeg_error_mgr errors{};
  jpeg.err = jpeg_std_error(&errors);
  jpeg_create_compress(&jpeg);
  unsigned char* data = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&jpeg, &data, &size);
  jpeg.image_width = static_cast<JDIMENSION>(cmyk.cols);
  jpeg.image_height = static_cast<JDIMENSION>(cmyk.rows);
  jpeg.input_components = 4;
  jpeg.in_color_space = JCS_CMYK;
  jpeg_set_defaults(&jpeg);
  jpeg_set_quality(&jpeg, 95, TRUE);
  jpeg_start_compress(&jpeg, TRUE);
  for (int r = 0; r < cmyk.rows; ++r) {
    JSAMPROW row = const_cast<JSAMPROW>(cmyk.ptr(r));
    jpeg_write_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_compress(&jpeg);
  jpeg_destroy_compress(&jpeg);
  const File out(data, data + size);
  free(data);
  return out;
}

}  // namespace plumbstack::test
