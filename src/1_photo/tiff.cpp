// libtiff over memory: its RGBA reader takes every depth and layout that photo programs write.
#include <tiffio.h>

#include <algorithm>
#include <cstdarg>
#include <cstring>
#include <memory>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

struct Memory {
  Bytes bytes;
  std::uint64_t at = 0;
};

Memory& memory(thandle_t handle) {
  return *static_cast<Memory*>(handle);
}

tmsize_t read_some(thandle_t handle, void* to, tmsize_t wanted) {
  Memory& m = memory(handle);
  if (m.at >= m.bytes.size() || wanted <= 0) return 0;
  const std::size_t n =
      std::min<std::size_t>(static_cast<std::size_t>(wanted), m.bytes.size() - m.at);
  std::memcpy(to, m.bytes.data() + m.at, n);
  m.at += n;
  return static_cast<tmsize_t>(n);
}

tmsize_t write_none(thandle_t, void*, tmsize_t) {
  return 0;
}

toff_t seek_to(thandle_t handle, toff_t offset, int from) {
  Memory& m = memory(handle);
  m.at = offset + (from == SEEK_CUR ? m.at : from == SEEK_END ? m.bytes.size() : 0);
  return m.at;
}

int close_nothing(thandle_t) {
  return 0;
}
toff_t size_of(thandle_t handle) {
  return memory(handle).bytes.size();
}

int say_nothing(TIFF*, void*, const char*, const char*, va_list) {
  return 1;
}

using Tiff = std::unique_ptr<TIFF, decltype(&TIFFClose)>;

Tiff open(Memory& source) {
  const std::unique_ptr<TIFFOpenOptions, decltype(&TIFFOpenOptionsFree)> options(
      TIFFOpenOptionsAlloc(), &TIFFOpenOptionsFree);
  TIFFOpenOptionsSetErrorHandlerExtR(options.get(), say_nothing, nullptr);
  TIFFOpenOptionsSetWarningHandlerExtR(options.get(), say_nothing, nullptr);
  return Tiff(TIFFClientOpenExt("photo", "rm", &source, read_some, write_none, seek_to,
                                close_nothing, size_of, nullptr, nullptr, options.get()),
              &TIFFClose);
}

std::optional<double> positive(TIFF* tiff, std::uint32_t tag) {
  float value = 0;
  if (!TIFFGetField(tiff, tag, &value) || !(value > 0)) return std::nullopt;
  return value;
}

// Orientation stands in the first directory, the rest in the EXIF directory it points to. Called
// last: it leaves the first directory.
ExifFacts exif_of(TIFF* tiff) {
  ExifFacts facts;
  std::uint16_t orientation = 1;
  if (TIFFGetField(tiff, TIFFTAG_ORIENTATION, &orientation) && orientation >= 1 && orientation <= 8)
    facts.orientation = orientation;
  toff_t exif = 0;
  if (!TIFFGetField(tiff, TIFFTAG_EXIFIFD, &exif) || !TIFFReadEXIFDirectory(tiff, exif))
    return facts;
  const char* time = nullptr;
  if (TIFFGetField(tiff, EXIFTAG_DATETIMEORIGINAL, &time) && time && std::strlen(time) == 19)
    facts.taken_at = time;
  facts.focal_length_mm = positive(tiff, EXIFTAG_FOCALLENGTH);
  std::uint16_t mm_35 = 0;
  if (TIFFGetField(tiff, EXIFTAG_FOCALLENGTHIN35MMFILM, &mm_35) && mm_35 > 0)
    facts.focal_length_35mm = mm_35;
  return facts;
}

// As stored: the reader is told that the picture shall keep the orientation it has.
bool read_rgba(TIFF* tiff, cv::Mat& rgba) {
  char message[1024];
  TIFFRGBAImage image;
  if (!TIFFRGBAImageBegin(&image, tiff, 1, message)) return false;
  image.req_orientation = image.orientation;
  const bool whole =
      TIFFRGBAImageGet(&image, rgba.ptr<std::uint32_t>(), static_cast<std::uint32_t>(rgba.cols),
                       static_cast<std::uint32_t>(rgba.rows)) == 1;
  TIFFRGBAImageEnd(&image);
  return whole;
}

}  // namespace

std::optional<Decoded> decode_tiff(Bytes bytes, const ImageHeader& header) {
  Memory source{bytes};
  const Tiff tiff = open(source);
  std::uint32_t width = 0, height = 0;
  if (!tiff || !TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width) ||
      !TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &height) || width != header.width ||
      height != header.height)
    return std::nullopt;
  cv::Mat rgba(static_cast<int>(height), static_cast<int>(width), CV_8UC4);
  if (!read_rgba(tiff.get(), rgba)) return std::nullopt;
  Decoded out;
  cv::cvtColor(rgba, out.pixels, cv::COLOR_RGBA2BGR);
  out.exif = exif_of(tiff.get());
  return out;
}

}  // namespace plumbstack
