#include <fcntl.h>
#include <unistd.h>

#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/job_store.hpp"
#include "plumbstack/photo.hpp"
#include "whole_file.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

std::string sha256_of(std::string_view bytes) {
  return sha256_hex({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
}

// A folder's own name is on the disk only once the folder above is flushed.
void flush_folder(const fs::path& folder) {
  const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (handle < 0) return;
  ::fsync(handle);
  ::close(handle);
}

Result<void> make_folder(const fs::path& folder) {
  std::error_code error;
  const bool made = fs::create_directories(folder, error);
  if (error || !fs::is_directory(folder, error))
    return fail(ErrorCode::output_unwritable, "can't be made a folder", folder.string());
  if (made)
    for (fs::path above = folder.parent_path(), last; above != last && !above.empty();
         last = above, above = above.parent_path())
      flush_folder(above);
  return {};
}

}  // namespace

fs::path KeptFiles::path_of(const KeptFile& file) const {
  return folder_ / file.sha256.substr(0, 2) / file.sha256;
}

Result<KeptFile> KeptFiles::keep(const std::string& name, std::string_view bytes) const {
  const KeptFile file{fs::path(name).filename().string(), sha256_of(bytes)};
  const fs::path path = path_of(file);
  if (const auto there = whole_file(path); there && *there == bytes) return file;
  if (auto folder = make_folder(path.parent_path()); !folder) return tl::unexpected(folder.error());
  StagedFiles staged(path.parent_path());
  if (auto added = staged.add(file.sha256, bytes); !added) return tl::unexpected(added.error());
  if (auto done = staged.commit(); !done) return tl::unexpected(done.error());
  return file;
}

Result<std::string> KeptFiles::bytes_of(const KeptFile& file) const {
  auto bytes = whole_file(path_of(file));
  if (!bytes)
    return fail(ErrorCode::record_damaged, "is missing; " + file.name + " was kept there",
                path_of(file).string());
  if (sha256_of(*bytes) != file.sha256)
    return fail(ErrorCode::record_damaged, "was changed; " + file.name + " was kept there",
                path_of(file).string());
  return std::move(*bytes);
}

}  // namespace plumbstack
