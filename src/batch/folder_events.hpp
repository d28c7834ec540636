// What the system tells of files in folders (Linux: inotify(7)). It is a hint that makes things
// quick, never the truth: on a network share it tells nothing of what others write.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace plumbstack {

class FolderEvents {
 public:
  enum class Kind { written, closed, other };

  explicit FolderEvents(std::filesystem::path root);
  FolderEvents(const FolderEvents&) = delete;
  FolderEvents& operator=(const FolderEvents&) = delete;
  ~FolderEvents();

  /// Tells of these folders from now on, and of no others.
  /// @param folders relative to the root
  /// @return false where the system won't tell of some of them
  bool follow(const std::vector<std::string>& folders);
  /// All that was told since the last call; does not wait.
  /// @param tell the file relative to the root; empty where it is not about one file
  /// @return whether anything was told
  bool drain(const std::function<void(Kind, const std::string& file)>& tell);

 private:
  std::filesystem::path root_;
  int line_ = -1;
  std::map<int, std::string> folders_;  // by the system's number
};

}  // namespace plumbstack
