// Width and height straight from the headers, so that a picture too large is refused before a byte
// of it is decoded. JPEG: ITU-T T.81 B.2.2 (SOF); PNG: ISO/IEC 15948 11.2.2 (IHDR); TIFF 6.0, tags
// 256, 257.
#include <algorithm>
#include <cstring>

#include "parts.hpp"

namespace plumbstack {
namespace {

std::uint32_t big(Bytes b, std::size_t at, int n) {
  std::uint32_t v = 0;
  for (int i = 0; i < n; ++i) v = v << 8 | b[at + static_cast<std::size_t>(i)];
  return v;
}

std::uint32_t ordered(Bytes b, std::size_t at, int n, bool little) {
  if (!little) return big(b, at, n);
  std::uint32_t v = 0;
  for (int i = n - 1; i >= 0; --i) v = v << 8 | b[at + static_cast<std::size_t>(i)];
  return v;
}

ImageHeader jpeg_header(Bytes b) {
  ImageHeader header{ImageKind::jpeg, 0, 0};
  std::size_t at = 2;
  while (at + 9 < b.size()) {
    if (b[at] != 0xFF) return header;
    const int marker = b[at + 1];
    if (marker == 0xFF) {
      ++at;
      continue;
    }
    if (marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC) {
      header.height = big(b, at + 5, 2);
      header.width = big(b, at + 7, 2);
      return header;
    }
    at += 2 + big(b, at + 2, 2);
  }
  return header;
}

ImageHeader tiff_header(Bytes b, bool little) {
  ImageHeader header{ImageKind::tiff, 0, 0};
  const std::size_t ifd = ordered(b, 4, 4, little);
  if (ifd < 8 || ifd + 2 > b.size()) return header;
  const std::size_t entries = ordered(b, ifd, 2, little);
  for (std::size_t i = 0; i < entries && ifd + 2 + 12 * (i + 1) <= b.size(); ++i) {
    const std::size_t at = ifd + 2 + 12 * i;
    const std::uint32_t tag = ordered(b, at, 2, little), type = ordered(b, at + 2, 2, little);
    const std::uint32_t value = ordered(b, at + 8, type == 3 ? 2 : 4, little);
    if (tag == 256) header.width = value;
    if (tag == 257) header.height = value;
  }
  return header;
}

bool begins(Bytes b, std::size_t at, const char* text, std::size_t n) {
  return b.size() >= at + n && std::memcmp(b.data() + at, text, n) == 0;
}

}  // namespace

ImageHeader read_header(Bytes b) {
  if (begins(b, 0, "\xFF\xD8\xFF", 3)) return jpeg_header(b);
  if (begins(b, 0, "\x89PNG\r\n\x1A\n", 8) && b.size() >= 24)
    return {ImageKind::png, big(b, 16, 4), big(b, 20, 4)};
  if (begins(b, 0, "II*\0", 4) && b.size() > 8) return tiff_header(b, true);
  if (begins(b, 0, "MM\0*", 4) && b.size() > 8) return tiff_header(b, false);
  if (begins(b, 4, "ftyp", 4)) {
    for (const char* brand : {"heic", "heix", "mif1", "msf1", "heim", "heis", "hevc"})
      if (begins(b, 8, brand, 4)) {
        const auto size = heif_size(b);
        return {ImageKind::heif, size ? size->width : 0, size ? size->height : 0};
      }
  }
  return {};
}

}  // namespace plumbstack
