#include "plumbstack/photo.hpp"

#include <cstdio>
#include <fstream>
#include <iterator>
#include <opencv2/imgcodecs.hpp>
#include <vector>

#include "parts.hpp"

namespace plumbstack {
namespace {

// A JPEG cut short decodes to grey rows without complaint; its end marker is missing then.
bool cut_short(Bytes b, ImageKind kind) {
  if (kind != ImageKind::jpeg) return false;
  std::size_t end = b.size();
  while (end > 2 && b[end - 1] == 0) --end;  // padding by cameras
  for (std::size_t i = end; i >= 2 && i + 65536 > end; --i)
    if (b[i - 2] == 0xFF && b[i - 1] == 0xD9) return false;
  return true;
}

cv::Mat decode_pixels(Bytes bytes) {
  const cv::Mat wrapped(1, static_cast<int>(bytes.size()), CV_8U,
                        const_cast<std::uint8_t*>(bytes.data()));
  try {
    return cv::imdecode(wrapped, cv::IMREAD_COLOR | cv::IMREAD_IGNORE_ORIENTATION);
  } catch (const cv::Exception&) {
    return {};
  }
}

}  // namespace

Result<Photo> decode_photo(Bytes bytes, const std::string& file, const PhotoOptions& options) {
  if (bytes.empty())
    return fail(ErrorCode::photo_unreadable, "is empty; copy it from the camera again", file);
  const ImageHeader header = read_header(bytes);
  if (header.kind == ImageKind::unknown)
    return fail(ErrorCode::photo_format, "is not a JPEG, PNG, TIFF or HEIC picture", file);
  if (header.width <= 0 || header.height <= 0)
    return fail(ErrorCode::photo_unreadable, "is damaged; copy it from the camera again", file);
  const double megapixels = double(header.width) * double(header.height) / 1e6;
  if (megapixels > options.max_megapixels) {
    char text[120];
    std::snprintf(text, sizeof text, "has %.0f megapixels, the limit is %.0f; see --max-megapixels",
                  megapixels, options.max_megapixels);
    return fail(ErrorCode::photo_too_large, text, file);
  }
  Photo photo;
  photo.file = file;
  ExifFacts facts;
  if (header.kind == ImageKind::heif) {
    const auto image = decode_heif(bytes);
    if (image) photo.pixels = image->pixels, facts = image->exif;
  } else if (!cut_short(bytes, header.kind)) {
    facts = read_exif(bytes, header.kind);
    photo.pixels = displayed(decode_pixels(bytes), facts.orientation);
  }
  if (photo.pixels.empty())
    return fail(ErrorCode::photo_unreadable,
                "is damaged or cut short; copy it from the camera again", file);
  photo.sha256 = sha256_hex(bytes);
  photo.exif_orientation = facts.orientation;
  photo.taken_at = facts.taken_at;
  photo.focal_length_mm = facts.focal_length_mm;
  photo.focal_length_35mm = facts.focal_length_35mm;
  return photo;
}

Result<Photo> load_photo(const std::filesystem::path& file, const PhotoOptions& options) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(file, error))
    return fail(ErrorCode::photo_unreadable, "is not there; check its name", file.string());
  std::ifstream in(file, std::ios::binary);
  const std::vector<std::uint8_t> bytes{std::istreambuf_iterator<char>(in), {}};
  if (!in && bytes.empty())
    return fail(ErrorCode::photo_unreadable, "can't be read; check its permissions", file.string());
  return decode_photo(bytes, file.string(), options);
}

}  // namespace plumbstack
