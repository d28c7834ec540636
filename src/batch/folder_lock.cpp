#include "folder_lock.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>

namespace plumbstack {

FolderLock::FolderLock(const std::filesystem::path& folder)
    : folder_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  // Workers of a run that was killed hold it for a moment longer.
  for (int tries = 0; tries < 20; ++tries) {
    taken_ = ::flock(folder_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    if (!taken_) return;
    ::usleep(100'000);
  }
}

FolderLock::~FolderLock() {
  if (folder_ >= 0) ::close(folder_);
}

}  // namespace plumbstack
