// Two steps, so that a failure leaves nothing behind: everything is written under hidden names and
// flushed to the disk, then renamed, the verdict last.
#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <set>
#include <system_error>

#include "plumbstack/photo.hpp"
#include "plumbstack/record.hpp"
#include "shrink.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr int kJpegQuality = 88;
constexpr double kReportPicture = 1600;  // px, longer side: enough for A4 and for a phone

tl::unexpected<Error> unwritable(const fs::path& file, int why) {
  return fail(ErrorCode::output_unwritable,
              "can't be written (" + std::generic_category().message(why) +
                  "); check the folder's permissions and the space left",
              file.string());
}

// Writes and flushes; 0 or the system's reason.
int write_all(const fs::path& file, const char* data, std::size_t size) {
  const int out = ::open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0666);
  if (out < 0) return errno;
  int why = 0;
  for (std::size_t done = 0; why == 0 && done < size;) {
    const ssize_t n = ::write(out, data + done, size - done);
    if (n > 0)
      done += static_cast<std::size_t>(n);
    else if (n == 0 || errno != EINTR)
      why = n == 0 ? EIO : errno;
  }
  if (why == 0 && ::fsync(out) != 0) why = errno;
  if (::close(out) != 0 && why == 0) why = errno;
  return why;
}

// The files of one record on their way into the folder. What was not committed is taken away.
class Staging {
 public:
  explicit Staging(fs::path folder) : folder_(std::move(folder)) {}
  Staging(const Staging&) = delete;
  Staging& operator=(const Staging&) = delete;
  ~Staging() {
    std::error_code ignored;
    for (const std::string& name : names_) fs::remove(part(name), ignored);
  }

  Result<void> add(const std::string& name, const char* data, std::size_t size) {
    names_.push_back(name);
    if (const int why = write_all(part(name), data, size)) return unwritable(folder_ / name, why);
    return {};
  }

  // Pictures of a verdict that then can't be written would mislead: they go again.
  Result<void> commit() {
    std::error_code error;
    for (std::size_t i = 0; i < names_.size(); ++i) {
      fs::rename(part(names_[i]), folder_ / names_[i], error);
      if (!error) continue;
      std::error_code ignored;
      for (std::size_t k = 0; k < i; ++k) fs::remove(folder_ / names_[k], ignored);
      return unwritable(folder_ / names_[i], error.value());
    }
    names_.clear();
    if (const int folder = ::open(folder_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        folder >= 0) {
      ::fsync(folder);  // the names too; some file systems can't, and need no more
      ::close(folder);
    }
    return {};
  }

 private:
  fs::path part(const std::string& name) const {
    return folder_ / ("." + name + "." + std::to_string(::getpid()) + ".part");
  }
  fs::path folder_;
  std::vector<std::string> names_;
};

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
  std::error_code error;
  const fs::path result = folder / "result.json";
  fs::rename(result, folder / "result.previous.json", error);
  if (error && error != std::errc::no_such_file_or_directory)
    return fail(ErrorCode::output_unwritable,
                "can't be renamed to result.previous.json (" + error.message() +
                    "); move it away or name another folder",
                result.string());
  return {};
}

Result<void> write_record(const fs::path& folder, const Pack& pack, const Check& check) {
  Staging staging(folder);
  std::vector<cv::Mat> pictures;
  const std::vector<std::string> names = picture_names(check);
  for (std::size_t i = 0; i < check.photos.size(); ++i) {
    const cv::Mat picture = annotated_photo(pack, check, i);
    const std::vector<unsigned char> bytes = jpeg_bytes(picture, kJpegQuality);
    if (bytes.empty())
      return fail(ErrorCode::internal, "the picture could not be packed as JPEG", names[i]);
    if (auto added =
            staging.add(names[i], reinterpret_cast<const char*>(bytes.data()), bytes.size());
        !added)
      return added;
    pictures.push_back(for_report(picture));
  }
  const std::string report = report_html(pack, check, pictures);
  if (auto added = staging.add("report.html", report.data(), report.size()); !added) return added;
  // A file name need not be UTF-8; what JSON can't carry is replaced.
  const std::string result =
      result_json(pack, check).dump(1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
  if (auto added = staging.add("result.json", result.data(), result.size()); !added) return added;
  return staging.commit();
}

}  // namespace plumbstack
