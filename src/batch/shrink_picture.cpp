#include "shrink_picture.hpp"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "plumbstack/photo.hpp"

namespace plumbstack {

std::string thumbnail_name(const std::string& picture) {
  const std::string end = ".annotated.jpg";
  return picture.substr(0, picture.size() - std::min(picture.size(), end.size())) + ".small.jpg";
}

std::string thumbnail_of(const std::filesystem::path& picture) {
  constexpr double kLongest = 200;  // px
  const Result<Photo> read = load_photo(picture);
  if (!read) return "";
  const cv::Mat& large = read->pixels;
  const double scale = std::min(1.0, kLongest / std::max(large.cols, large.rows));
  cv::Mat small;
  cv::resize(large, small, {}, scale, scale, cv::INTER_AREA);
  const std::vector<unsigned char> bytes = jpeg_bytes(small, 80);
  return {bytes.begin(), bytes.end()};
}

}  // namespace plumbstack
