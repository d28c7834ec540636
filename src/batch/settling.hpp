// Which files are whole. A system that tells of files says when one is closed after writing or is
// put in place by renaming; what comes by ways that don't tell (a network share) is taken for whole
// once it has not changed for a while.
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>

namespace plumbstack {

/// What tells one state of a file from another without reading it.
struct FileMark {
  std::uintmax_t size = 0, inode = 0;
  std::int64_t modified = 0, changed = 0;  // ns since 1970, of the content and of anything
  bool operator==(const FileMark&) const = default;
};

/// Links are followed; nullopt where there is no regular file.
std::optional<FileMark> mark_of(const std::filesystem::path& file);

class Settling {
 public:
  using Time = std::chrono::steady_clock::time_point;

  /// @param quiet how long a file must not have changed if nothing tells that it is whole
  explicit Settling(std::chrono::milliseconds quiet) : quiet_(quiet) {}

  /// As the system tells.
  void being_written(const std::string& file);
  void closed(const std::string& file);

  /// Looks at a file as it is now: whether it is whole. One that is being written and not closed
  /// counts as whole only after ten times as long: who writes may have ended without closing it.
  bool whole(const std::string& file, const FileMark& mark, Time now);
  /// How often the file was told to be closed: its content may differ though its mark does not.
  unsigned closings(const std::string& file) const;
  /// After all files were looked at: forgets those that were not.
  void end_of_look();

 private:
  enum class Told { nothing, writing, closed };
  struct File {
    std::optional<FileMark> mark;
    Time since{};
    Told told = Told::nothing;
    unsigned closings = 0;
    bool told_lately = false;  // since the last look
    bool looked_at = false;
  };
  std::chrono::milliseconds quiet_;
  std::map<std::string, File> files_;
};

}  // namespace plumbstack
