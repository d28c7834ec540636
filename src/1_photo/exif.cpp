#include <libexif/exif-data.h>

#include <algorithm>
#include <memory>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

using ExifPtr = std::unique_ptr<ExifData, decltype(&exif_data_unref)>;

std::optional<double> rational(ExifData* data, ExifTag tag) {
  ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_EXIF], tag);
  if (!entry || entry->size < 2) return std::nullopt;
  const ExifByteOrder order = exif_data_get_byte_order(data);
  if (entry->format == EXIF_FORMAT_SHORT) return exif_get_short(entry->data, order);
  if (entry->format != EXIF_FORMAT_RATIONAL || entry->size < 8) return std::nullopt;
  const ExifRational value = exif_get_rational(entry->data, order);
  if (value.denominator == 0 || value.numerator == 0) return std::nullopt;
  return double(value.numerator) / double(value.denominator);
}

std::optional<std::string> time_of(ExifData* data) {
  ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_EXIF], EXIF_TAG_DATE_TIME_ORIGINAL);
  if (!entry || entry->format != EXIF_FORMAT_ASCII || entry->size < 19) return std::nullopt;
  const std::string text(reinterpret_cast<const char*>(entry->data), 19);
  // Cameras whose clock was never set write blanks or zeros.
  const bool set = text.find_first_not_of(" :0") != std::string::npos;
  const bool plain = text.find_first_not_of("0123456789: ") == std::string::npos;
  return set && plain ? std::optional(text) : std::nullopt;
}

}  // namespace

ExifFacts parse_exif(Bytes block) {
  ExifFacts facts;
  if (block.size() < 14) return facts;
  // libexif wants the marker in front and takes at most 64 KiB.
  std::string marked("Exif\0\0", 6);
  marked.append(reinterpret_cast<const char*>(block.data()),
                std::min<std::size_t>(block.size(), 65500));
  const ExifPtr data(exif_data_new_from_data(reinterpret_cast<const unsigned char*>(marked.data()),
                                             static_cast<unsigned>(marked.size())),
                     &exif_data_unref);
  if (!data) return facts;
  if (ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
      entry && entry->format == EXIF_FORMAT_SHORT && entry->size >= 2) {
    const int value = exif_get_short(entry->data, exif_data_get_byte_order(data.get()));
    if (value >= 1 && value <= 8) facts.orientation = value;
  }
  facts.taken_at = time_of(data.get());
  facts.focal_length_mm = rational(data.get(), EXIF_TAG_FOCAL_LENGTH);
  facts.focal_length_35mm = rational(data.get(), EXIF_TAG_FOCAL_LENGTH_IN_35MM_FILM);
  return facts;
}

cv::Mat displayed(const cv::Mat& stored, int orientation) {
  cv::Mat out;
  switch (orientation) {
    case 2: cv::flip(stored, out, 1); return out;
    case 3: cv::rotate(stored, out, cv::ROTATE_180); return out;
    case 4: cv::flip(stored, out, 0); return out;
    case 5: cv::transpose(stored, out); return out;
    case 6: cv::rotate(stored, out, cv::ROTATE_90_CLOCKWISE); return out;
    case 7:
      cv::transpose(stored, out);
      cv::rotate(out, out, cv::ROTATE_180);
      return out;
    case 8: cv::rotate(stored, out, cv::ROTATE_90_COUNTERCLOCKWISE); return out;
    default: return stored;
  }
}

}  // namespace plumbstack
