#include <fcntl.h>
#include <unistd.h>

#include <opencv2/imgcodecs.hpp>
#include <set>

#include "plumbstack/record.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

// Under a temporary name, flushed to the disk, then renamed: never half a file under its own name.
Result<void> write_file(const fs::path& file, const char* data, std::size_t size) {
  const fs::path part = file.string() + ".part";
  const int out = ::open(part.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  bool good = out >= 0;
  for (std::size_t done = 0; good && done < size;) {
    const ssize_t n = ::write(out, data + done, size - done);
    good = n > 0;
    done += good ? static_cast<std::size_t>(n) : 0;
  }
  good = good && ::fsync(out) == 0;
  if (out >= 0) good = ::close(out) == 0 && good;
  std::error_code error;
  if (good) fs::rename(part, file, error);
  if (good && !error) return {};
  fs::remove(part, error);
  return fail(ErrorCode::output_unwritable,
              "can't be written; check the folder's permissions and space", file.string());
}

std::string picture_name(const Photo& photo, std::set<std::string>& taken) {
  const std::string stem = fs::path(photo.file).stem().string();
  std::string name = stem;
  for (int i = 2; !taken.insert(name).second; ++i) name = stem + "-" + std::to_string(i);
  return name + ".annotated.jpg";
}

}  // namespace

Result<void> retire_old_result(const fs::path& folder) {
  std::error_code error;
  const fs::path result = folder / "result.json";
  if (!fs::exists(result, error)) return {};
  fs::rename(result, folder / "result.previous.json", error);
  if (error)
    return fail(ErrorCode::output_unwritable, "can't be renamed; check the folder's permissions",
                result.string());
  return {};
}

Result<void> write_record(const fs::path& folder, const Pack& pack, const Check& check) {
  std::vector<cv::Mat> pictures;
  std::set<std::string> names;
  for (std::size_t i = 0; i < check.photos.size(); ++i) {
    pictures.push_back(annotated_photo(pack, check, i));
    std::vector<unsigned char> bytes;
    cv::imencode(".jpg", pictures.back(), bytes, {cv::IMWRITE_JPEG_QUALITY, 88});
    if (auto written = write_file(folder / picture_name(check.photos[i].photo, names),
                                  reinterpret_cast<const char*>(bytes.data()), bytes.size());
        !written)
      return written;
  }
  const std::string report = report_html(pack, check, pictures);
  if (auto written = write_file(folder / "report.html", report.data(), report.size()); !written)
    return written;
  const std::string result = result_json(pack, check).dump(1) + "\n";
  return write_file(folder / "result.json", result.data(), result.size());
}

}  // namespace plumbstack
