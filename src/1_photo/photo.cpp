#include "plumbstack/photo.hpp"

#include <cstdio>
#include <fstream>
#include <vector>

#include "parts.hpp"

namespace plumbstack {
namespace {

std::optional<Decoded> decode(Bytes bytes, const ImageHeader& header) {
  switch (header.kind) {
    case ImageKind::jpeg: return decode_jpeg(bytes, header);
    case ImageKind::png: return decode_png(bytes, header);
    case ImageKind::tiff: return decode_tiff(bytes, header);
    case ImageKind::heif: return decode_heif(bytes, header);
    case ImageKind::unknown: break;
  }
  return std::nullopt;
}

tl::unexpected<Error> unreadable(const char* message, const std::string& file) {
  return fail(ErrorCode::photo_unreadable, message, file);
}

Result<void> within_limit(double megapixels, const std::string& file, const PhotoOptions& options) {
  if (megapixels <= options.max_megapixels) return {};
  char text[120];
  std::snprintf(text, sizeof text, "has %.1f megapixels, the limit is %.1f; see --max-megapixels",
                megapixels, options.max_megapixels);
  return fail(ErrorCode::photo_too_large, text, file);
}

}  // namespace

Result<Photo> decode_photo(Bytes bytes, const std::string& file, const PhotoOptions& options) {
  if (bytes.empty()) return unreadable("is empty; copy it from the camera again", file);
  const ImageHeader header = read_header(bytes);
  if (header.kind == ImageKind::unknown)
    return fail(ErrorCode::photo_format, "is not a JPEG, PNG, TIFF or HEIC picture", file);
  if (header.width <= 0 || header.height <= 0)
    return unreadable("is damaged or cut short; copy it from the camera again", file);
  const double megapixels = double(header.width) * double(header.height) / 1e6;
  if (auto fits = within_limit(megapixels, file, options); !fits)
    return tl::unexpected(fits.error());
  const auto decoded = decode(bytes, header);
  if (!decoded) return unreadable("is damaged or cut short; copy it from the camera again", file);
  Photo photo;
  photo.file = file;
  // HEIF's decoder has turned the pixels already; its EXIF value is only reported.
  const bool turned = header.kind == ImageKind::heif;
  photo.pixels = displayed(decoded->pixels, turned ? 1 : decoded->exif.orientation);
  photo.sha256 = sha256_hex(bytes);
  photo.exif_orientation = decoded->exif.orientation;
  photo.taken_at = decoded->exif.taken_at;
  photo.focal_length_mm = decoded->exif.focal_length_mm;
  photo.focal_length_35mm = decoded->exif.focal_length_35mm;
  if (options.keep_bytes) photo.bytes.assign(bytes.begin(), bytes.end());
  return photo;
}

Result<Photo> load_photo(const std::filesystem::path& file, const PhotoOptions& options) {
  const std::string name = file.string();
  std::error_code error;
  if (std::filesystem::is_directory(file, error))
    return unreadable("is a folder; name the photo itself", name);
  if (!std::filesystem::is_regular_file(file, error))
    return unreadable("is not there; check its name", name);
  // An uncompressed photo has at most 8 bytes a pixel (four channels of 16 bit) and some header.
  const auto size = std::filesystem::file_size(file, error);
  const double largest = options.max_megapixels * 8e6 + (16 << 20);
  if (error) return unreadable("can't be read; check its permissions", name);
  if (double(size) > largest)
    return fail(ErrorCode::photo_too_large,
                "is a larger file than any photo within the limit; see --max-megapixels", name);
  std::vector<std::uint8_t> bytes(size);
  std::ifstream in(file, std::ios::binary);
  in.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
  if (!in) return unreadable("can't be read; check its permissions", name);
  return decode_photo(bytes, name, options);
}

void let_go_of_pixels(Photo& photo) {
  if (photo.bytes.empty()) return;
  photo.let_go_size = photo.pixels.size();
  photo.pixels.release();
}

cv::Size size_of(const Photo& photo) {
  return photo.pixels.empty() ? photo.let_go_size : photo.pixels.size();
}

cv::Mat pixels_of(const Photo& photo) {
  if (!photo.pixels.empty()) return photo.pixels;
  const double megapixels = photo.let_go_size.area() / 1e6;  // they were within the limit before
  const auto again = decode_photo(photo.bytes, photo.file, {megapixels + 1, false});
  return again ? again->pixels : cv::Mat();
}

}  // namespace plumbstack
