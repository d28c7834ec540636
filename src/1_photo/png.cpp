// libpng's simplified reader: 16-bit, grey, palette and transparency all become 8-bit BGR.
#include <png.h>

#include <cstring>

#include "parts.hpp"

namespace plumbstack {
namespace {

std::uint32_t big32(Bytes b, std::size_t at) {
  return std::uint32_t{b[at]} << 24 | std::uint32_t{b[at + 1]} << 16 |
         std::uint32_t{b[at + 2]} << 8 | b[at + 3];
}

// Chunks (ISO/IEC 15948 5.3): length, name, data, CRC. EXIF stands in eXIf.
ExifFacts exif_of(Bytes b) {
  for (std::size_t at = 8; at + 12 <= b.size();) {
    const std::size_t length = big32(b, at);
    if (length > b.size() - at - 12) return {};
    if (std::memcmp(b.data() + at + 4, "eXIf", 4) == 0)
      return parse_exif(b.subspan(at + 8, length));
    at += 12 + length;
  }
  return {};
}

}  // namespace

std::optional<Decoded> decode_png(Bytes bytes, const ImageHeader& header) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  Decoded out;
  if (png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) &&
      image.width == header.width && image.height == header.height) {
    image.format = PNG_FORMAT_BGR;
    // A camera's 16-bit file is coded like its 8-bit one; libpng would take it as linear light.
    image.flags |= PNG_IMAGE_FLAG_16BIT_sRGB;
    out.pixels.create(static_cast<int>(header.height), static_cast<int>(header.width), CV_8UC3);
    const png_color grey{128, 128, 128};  // under transparent pixels
    if (png_image_finish_read(&image, &grey, out.pixels.data,
                              static_cast<png_int_32>(out.pixels.step), nullptr)) {
      out.exif = exif_of(bytes);
      return out;
    }
  }
  png_image_free(&image);
  return std::nullopt;
}

}  // namespace plumbstack
