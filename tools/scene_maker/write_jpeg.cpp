#include "write_jpeg.hpp"

#include <cstdio>
// jpeglib.h needs FILE from <cstdio> before it.
#include <jpeglib.h>

#include <fstream>
#include <memory>
#include <opencv2/imgproc.hpp>

namespace scene {

bool write_jpeg(const std::string& file, const cv::Mat& bgr, int quality) {
  const std::unique_ptr<FILE, int (*)(FILE*)> out(std::fopen(file.c_str(), "wb"), &std::fclose);
  if (!out) return false;
  cv::Mat rgb;
  cv::cvtColor(bgr, rgb, cv::COLOR_BGR2RGB);
  jpeg_compress_struct info{};
  jpeg_error_mgr errors{};
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  jpeg_stdio_dest(&info, out.get());
  info.image_width = static_cast<JDIMENSION>(rgb.cols);
  info.image_height = static_cast<JDIMENSION>(rgb.rows);
  info.input_components = 3;
  info.in_color_space = JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  jpeg_start_compress(&info, TRUE);
  while (info.next_scanline < info.image_height) {
    JSAMPROW row = rgb.ptr(static_cast<int>(info.next_scanline));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  return true;
}

bool write_pgm(const std::string& file, const cv::Mat& grey) {
  std::ofstream out(file, std::ios::binary);
  out << "P5\n" << grey.cols << " " << grey.rows << "\n255\n";
  for (int y = 0; y < grey.rows; ++y)
    out.write(reinterpret_cast<const char*>(grey.ptr(y)), grey.cols);
  return static_cast<bool>(out.flush());
}

}  // namespace scene
