// Of one process at a time.
#pragma once

#include <filesystem>

namespace plumbstack {

/// Held until the end of its life. Where the file system has no locks the folder is watched all the
/// same.
class FolderLock {
 public:
  explicit FolderLock(const std::filesystem::path& folder);
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  ~FolderLock();
  /// By another process.
  bool taken() const { return taken_; }

 private:
  int folder_;
  bool taken_ = false;
};

}  // namespace plumbstack
