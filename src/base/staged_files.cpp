#include "plumbstack/base/staged_files.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> unwritable(const fs::path& file, int why) {
  return fail(ErrorCode::output_unwritable,
              "can't be written (" + std::generic_category().message(why) +
                  "); check the folder's permissions and the space left",
              file.string());
}

// Onto the disk; 0 or the system's reason.
int flush(const fs::path& file) {
  const int written = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
  if (written < 0) return errno;
  const int why = ::fsync(written) == 0 ? 0 : errno;
  ::close(written);
  return why;
}

// 0 or the system's reason.
int write_all(const fs::path& file, std::string_view bytes) {
  const int out = ::open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0666);
  if (out < 0) return errno;
  int why = 0;
  for (std::size_t done = 0; why == 0 && done < bytes.size();) {
    const ssize_t n = ::write(out, bytes.data() + done, bytes.size() - done);
    if (n > 0)
      done += static_cast<std::size_t>(n);
    else if (n == 0 || errno != EINTR)
      why = n == 0 ? EIO : errno;
  }
  if (::close(out) != 0 && why == 0) why = errno;
  return why;
}

}  // namespace

StagedFiles::~StagedFiles() {
  std::error_code ignored;
  for (const std::string& name : names_) fs::remove(part(name), ignored);
}

Result<void> StagedFiles::add(const std::string& name, std::string_view bytes) {
  names_.push_back(name);
  if (const int why = write_all(part(name), bytes)) return unwritable(folder_ / name, why);
  return {};
}

fs::path StagedFiles::reserve(const std::string& name) {
  names_.push_back(name);
  return part(name);
}

Result<void> StagedFiles::commit() {
  for (const std::string& name : names_)
    if (const int why = flush(part(name))) return unwritable(folder_ / name, why);
  std::error_code error;
  for (std::size_t i = 0; i < names_.size(); ++i) {
    fs::rename(part(names_[i]), folder_ / names_[i], error);
    if (!error) continue;
    std::error_code ignored;
    // Pictures of a verdict that then can't be written would mislead: they go again.
    for (std::size_t k = 0; k < i; ++k) fs::remove(folder_ / names_[k], ignored);
    return unwritable(folder_ / names_[i], error.value());
  }
  names_.clear();
  if (const int folder = ::open(folder_.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); folder >= 0) {
    ::fsync(folder);  // the names too; some file systems can't, and need no more
    ::close(folder);
  }
  return {};
}

fs::path StagedFiles::part(const std::string& name) const {
  return folder_ / ("." + name + "." + std::to_string(::getpid()) + ".part");
}

Result<void> retire_file(const fs::path& folder, const std::string& name) {
  std::error_code error;
  const fs::path old = folder / name;
  const std::string aside = old.stem().string() + ".previous" + old.extension().string();
  fs::rename(old, folder / aside, error);
  if (error && error != std::errc::no_such_file_or_directory)
    return fail(ErrorCode::output_unwritable,
                "can't be renamed to " + aside + " (" + error.message() +
                    "); move it away or name another folder",
                old.string());
  return {};
}

}  // namespace plumbstack
