#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack::report {
namespace {

constexpr int kQuality = 78;

// A page that is cut out must not pass for more than it is worth.
void strike_out(cv::Mat& picture) {
  const int wide = std::max(4, std::max(picture.cols, picture.rows) / 60);
  const cv::Point corners[2][2] = {{{0, 0}, {picture.cols, picture.rows}},
                                   {{picture.cols, 0}, {0, picture.rows}}};
  for (const auto& [from, to] : corners) {
    cv::line(picture, from, to, cv::Scalar::all(255), 2 * wide, cv::LINE_AA);
    cv::line(picture, from, to, cv::Scalar::all(0), wide, cv::LINE_AA);
  }
}

}  // namespace

Picture picture(const Job& job, const KeptFile& file, const std::string& about,
                std::vector<std::string> caption, Shown how, int longest) {
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
  if (how == Shown::struck_out) strike_out(small);
  const auto jpeg = jpeg_bytes(small, kQuality);
  made.jpeg.assign(jpeg.begin(), jpeg.end());
  made.width = small.cols;
  made.height = small.rows;
  return made;
}

}  // namespace plumbstack::report
