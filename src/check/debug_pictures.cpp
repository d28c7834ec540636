#include "debug_pictures.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <opencv2/imgproc.hpp>

#include "plumbstack/photo.hpp"
#include "plumbstack/record.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr int kLongestSide = 1600;  // px
constexpr int kJpegQuality = 85;

cv::Mat small(const cv::Mat& picture) {
  const double scale = double(kLongestSide) / std::max(picture.cols, picture.rows);
  if (scale >= 1) return picture;
  cv::Mat out;
  cv::resize(picture, out, {}, scale, scale, cv::INTER_AREA);
  return out;
}

// Two pictures at one height.
cv::Mat beside(const cv::Mat& left, const cv::Mat& right) {
  cv::Mat scaled, both;
  const double scale = double(left.rows) / right.rows;
  cv::resize(right, scaled, {std::max(1, cvRound(right.cols * scale)), left.rows}, 0, 0,
             cv::INTER_AREA);
  cv::hconcat(left, scaled, both);
  return both;
}

Result<void> write_file(const fs::path& file, const char* data, std::size_t size) {
  std::ofstream out(file, std::ios::binary);
  out.write(data, static_cast<std::streamsize>(size));
  out.close();
  if (!out)
    return fail(ErrorCode::output_unwritable,
                "can't be written; check the folder's permissions and the space left",
                file.string());
  return {};
}

}  // namespace

void DebugPictures::write(const std::string& name, const cv::Mat& picture) {
  if (!state_ || picture.empty()) return;
  const std::vector<unsigned char> bytes = jpeg_bytes(small(picture), kJpegQuality);
  state_ =
      write_file(photos_.back() / name, reinterpret_cast<const char*>(bytes.data()), bytes.size());
}

void DebugPictures::photo(const Photo& photo) {
  if (off()) return;
  photos_.push_back(
      folder_ / (std::to_string(photos_.size() + 1) + "_" + fs::path(photo.file).stem().string()));
  std::error_code error;
  fs::create_directories(photos_.back(), error);  // a failure shows in the writing
  write("1_photo.jpg", photo.pixels);
}

void DebugPictures::stack(const Photo& photo, const std::optional<FoundStack>& found, Nets& nets) {
  if (off()) return;
  const cv::Mat finder = draw_finder(photo, nets);
  write("2_stack.jpg", found ? beside(draw_fit(photo, *found), finder) : finder);
}

void DebugPictures::strips(const std::vector<StripCut>& strips) {
  if (!off()) write("3_strips.jpg", draw_strips(strips));
}

void DebugPictures::marks(const Photo& photo, const StackFrame& frame, const SideMarks& marks) {
  if (!off()) write("4_marks.jpg", draw_marks(photo, frame, marks));
}

Result<void> DebugPictures::finish(const Pack& pack, const Check& check) {
  if (off()) return {};
  const std::vector<fs::path> photos = photos_;
  for (std::size_t i = 0; i < photos.size() && i < check.photos.size(); ++i) {
    photos_ = {photos[i]};
    write("5_verdict.jpg", annotated_photo(pack, check, i));
  }
  photos_ = photos;
  std::string text;
  for (const auto& [stage, ms] : check.ms) {
    char line[80];
    std::snprintf(line, sizeof line, "%s %.1f ms\n", stage.c_str(), ms);
    text += line;
  }
  if (state_) state_ = write_file(folder_ / "durations.txt", text.data(), text.size());
  return state_;
}

}  // namespace plumbstack
