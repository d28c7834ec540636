#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack::report {
namespace {

constexpr int kQuality = 78;

}  // namespace

Picture picture(const Job& job, const KeptFile& file, const std::string& about,
                std::vector<std::string> caption, int longest) {
  Picture made{"", 0, 0, about, std::move(caption)};
  const auto nothing = [&](const Error& why) {
    made.about = file.name + " can't be shown: it " + why.message;
    return made;
  };
  const auto bytes = job.source.bytes_of(file);
  if (!bytes) return nothing(bytes.error());
  const auto photo = decode_photo(
      {reinterpret_cast<const std::uint8_t*>(bytes->data()), bytes->size()}, file.name);
  if (!photo) return nothing(photo.error());
  const cv::Mat& pixels = photo->pixels;
  const double scale =
      std::min(1.0, static_cast<double>(longest) / std::max(pixels.cols, pixels.rows));
  cv::Mat small;
  cv::resize(pixels, small,
             {std::max(1, cvRound(pixels.cols * scale)), std::max(1, cvRound(pixels.rows * scale))},
             0, 0, cv::INTER_AREA);
  const auto jpeg = jpeg_bytes(small, kQuality);
  made.jpeg.assign(jpeg.begin(), jpeg.end());
  made.width = small.cols;
  made.height = small.rows;
  return made;
}

}  // namespace plumbstack::report
