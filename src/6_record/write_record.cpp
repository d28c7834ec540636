// Everything is staged, then renamed, the verdict last.
#include <malloc.h>

#include <algorithm>
#include <set>

#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/photo.hpp"
#include "plumbstack/record.hpp"
#include "shrink.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr int kJpegQuality = 88;
constexpr double kReportPicture = 1600;  // px, longer side: enough for A4 and for a phone

cv::Mat for_report(const cv::Mat& picture) {
  const double scale = kReportPicture / std::max(picture.cols, picture.rows);
  if (scale >= 1) return picture;
  return shrunk(picture, {std::max(1, cvRound(picture.cols * scale)),
                          std::max(1, cvRound(picture.rows * scale))});
}

}  // namespace

std::vector<std::string> picture_names(const Check& check) {
  std::vector<std::string> names;
  std::set<std::string> taken;
  for (const CheckedPhoto& photo : check.photos) {
    const std::string stem = fs::path(photo.photo.file).stem().string();
    std::string name = stem;
    for (int i = 2; !taken.insert(name).second; ++i) name = stem + "-" + std::to_string(i);
    names.push_back(name + ".annotated.jpg");
  }
  return names;
}

Result<void> retire_old_result(const fs::path& folder) {
  return retire_file(folder, "result.json");
}

Result<void> write_record(const fs::path& folder, const Pack& pack, const Check& check) {
  StagedFiles staging(folder);
  std::vector<cv::Mat> pictures;
  const std::vector<std::string> names = picture_names(check);
  for (std::size_t i = 0; i < check.photos.size(); ++i) {
    // What the last picture took in holes of the heap, which this one may not fit, goes back.
    if (i > 0) ::malloc_trim(0);
    const cv::Mat picture = annotated_photo(pack, check, i);
    const std::vector<unsigned char> bytes = jpeg_bytes(picture, kJpegQuality);
    if (bytes.empty())
      return fail(ErrorCode::internal, "the picture could not be packed as JPEG", names[i]);
    if (auto added =
            staging.add(names[i], {reinterpret_cast<const char*>(bytes.data()), bytes.size()});
        !added)
      return added;
    pictures.push_back(for_report(picture));
  }
  const std::string report = report_html(pack, check, pictures);
  if (auto added = staging.add("report.html", report); !added) return added;
  // A file name need not be UTF-8; what JSON can't carry is replaced.
  const std::string result =
      result_json(pack, check).dump(1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
  if (auto added = staging.add("result.json", result); !added) return added;
  return staging.commit();
}

}  // namespace plumbstack
