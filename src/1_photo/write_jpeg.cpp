// libjpeg itself: OpenCV's own way to it loads some hundred libraries of other formats at the start
// of the program, a tenth of a second.
#include <csetjmp>
#include <cstdio>
#include <cstdlib>

// In this order: jpeglib.h needs cstdio.
// clang-format off
#include <jpeglib.h>
// clang-format on

#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

struct Watch {
  jpeg_error_mgr manager;
  std::jmp_buf stop;
};

void on_error(j_common_ptr info) {
  std::longjmp(reinterpret_cast<Watch*>(info->err)->stop, 1);
}

void on_output(j_common_ptr) {}  // the library prints nothing

// What lives in here has no destructor of its own: a longjmp skips those.
bool compress(jpeg_compress_struct& jpeg, Watch& watch, const cv::Mat& bgr, int quality) {
  if (setjmp(watch.stop)) return false;
  jpeg.image_width = static_cast<JDIMENSION>(bgr.cols);
  jpeg.image_height = static_cast<JDIMENSION>(bgr.rows);
  jpeg.input_components = 3;
  jpeg.in_color_space = JCS_EXT_BGR;
  jpeg_set_defaults(&jpeg);
  jpeg_set_quality(&jpeg, quality, TRUE);
  jpeg_start_compress(&jpeg, TRUE);
  while (jpeg.next_scanline < jpeg.image_height) {
    auto* row = const_cast<JSAMPROW>(bgr.ptr(static_cast<int>(jpeg.next_scanline)));
    jpeg_write_scanlines(&jpeg, &row, 1);
  }
  jpeg_finish_compress(&jpeg);
  return true;
}

}  // namespace

std::vector<unsigned char> jpeg_bytes(const cv::Mat& bgr, int quality) {
  if (bgr.empty() || bgr.type() != CV_8UC3) return {};
  Watch watch;
  jpeg_compress_struct jpeg;
  jpeg.err = jpeg_std_error(&watch.manager);
  watch.manager.error_exit = on_error;
  watch.manager.output_message = on_output;
  jpeg_create_compress(&jpeg);
  unsigned char* buffer = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&jpeg, &buffer, &size);
  const bool whole = compress(jpeg, watch, bgr, quality);
  std::vector<unsigned char> bytes;
  if (whole) bytes.assign(buffer, buffer + size);
  jpeg_destroy_compress(&jpeg);
  std::free(buffer);
  return bytes;
}

}  // namespace plumbstack
