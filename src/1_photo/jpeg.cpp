// libjpeg itself, not through OpenCV: it tells a photo that was cut short or damaged from a whole
// one (OpenCV fills the rest with grey and prints a line), and it hands over the EXIF block.
#include <csetjmp>
#include <cstdio>
#include <cstring>

// In this order: jpeglib.h needs cstdio, jerror.h needs jpeglib.h.
// clang-format off
#include <jpeglib.h>
#include <jerror.h>
// clang-format on

#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

struct Watch {
  jpeg_error_mgr manager;
  std::jmp_buf stop;
  bool damaged;
};

Watch& watch_of(j_common_ptr info) {
  return *reinterpret_cast<Watch*>(info->err);
}

void on_error(j_common_ptr info) {
  std::longjmp(watch_of(info).stop, 1);
}

// Warnings that cost pixels; the rest (padding between markers, unusual JFIF version) is harmless.
void on_message(j_common_ptr info, int level) {
  if (level >= 0) return;
  switch (info->err->msg_code) {
    case JWRN_HIT_MARKER:
    case JWRN_HUFF_BAD_CODE:
    case JWRN_JPEG_EOF:
    case JWRN_MUST_RESYNC:
    case JWRN_NOT_SEQUENTIAL:
    case JWRN_BOGUS_PROGRESSION:
    case JWRN_ARITH_BAD_CODE: watch_of(info).damaged = true;
  }
}

void on_output(j_common_ptr) {}  // the library prints nothing

// What lives in the next two has no destructor of its own: a longjmp skips those.
bool read_head(jpeg_decompress_struct& jpeg, Watch& watch, Bytes bytes, const ImageHeader& header) {
  if (setjmp(watch.stop)) return false;
  jpeg_create_decompress(&jpeg);
  jpeg_save_markers(&jpeg, JPEG_APP0 + 1, 0xFFFF);
  jpeg_mem_src(&jpeg, bytes.data(), static_cast<unsigned long>(bytes.size()));
  jpeg_read_header(&jpeg, TRUE);
  jpeg.out_color_space = jpeg.num_components == 4 ? JCS_CMYK : JCS_EXT_BGR;
  return jpeg.image_width == header.width && jpeg.image_height == header.height;
}

bool read_rows(jpeg_decompress_struct& jpeg, Watch& watch, cv::Mat& pixels) {
  if (setjmp(watch.stop)) return false;
  jpeg_start_decompress(&jpeg);
  while (jpeg.output_scanline < jpeg.output_height) {
    JSAMPROW row = pixels.ptr(static_cast<int>(jpeg.output_scanline));
    jpeg_read_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_decompress(&jpeg);
  return true;
}

ExifFacts exif_of(const jpeg_decompress_struct& jpeg) {
  for (const jpeg_marker_struct* m = jpeg.marker_list; m; m = m->next)
    if (m->data_length > 6 && std::memcmp(m->data, "Exif\0", 6) == 0)
      return parse_exif(Bytes(m->data + 6, m->data_length - 6));
  return {};
}

// Photo programs write CMYK inverted (Adobe marker): ink 255 is none.
cv::Mat bgr_of_cmyk(const cv::Mat& cmyk) {
  cv::Mat bgr(cmyk.size(), CV_8UC3);
  cmyk.forEach<cv::Vec4b>([&](const cv::Vec4b& c, const int* at) {
    bgr.at<cv::Vec3b>(at[0], at[1]) = {static_cast<uchar>(c[2] * c[3] / 255),
                                       static_cast<uchar>(c[1] * c[3] / 255),
                                       static_cast<uchar>(c[0] * c[3] / 255)};
  });
  return bgr;
}

}  // namespace

std::optional<Decoded> decode_jpeg(Bytes bytes, const ImageHeader& header) {
  jpeg_decompress_struct jpeg{};
  Watch watch{};
  jpeg.err = jpeg_std_error(&watch.manager);
  watch.manager.error_exit = on_error;
  watch.manager.emit_message = on_message;
  watch.manager.output_message = on_output;
  Decoded out;
  bool whole = read_head(jpeg, watch, bytes, header);
  if (whole) {
    out.exif = exif_of(jpeg);  // before the rows: the markers are forgotten at their end
    out.pixels.create(static_cast<int>(header.height), static_cast<int>(header.width),
                      jpeg.num_components == 4 ? CV_8UC4 : CV_8UC3);
    whole = read_rows(jpeg, watch, out.pixels) && !watch.damaged;
  }
  jpeg_destroy_decompress(&jpeg);
  if (!whole) return std::nullopt;
  if (out.pixels.channels() == 4) out.pixels = bgr_of_cmyk(out.pixels);
  return out;
}

}  // namespace plumbstack
