#include "settling.hpp"

#include <sys/stat.h>

namespace plumbstack {
namespace {

constexpr int kUnclosed = 10;

std::int64_t nanoseconds(const timespec& time) {
  return std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec;
}

}  // namespace

std::optional<FileMark> mark_of(const std::filesystem::path& file) {
  struct stat seen {};
  if (::stat(file.c_str(), &seen) != 0 || !S_ISREG(seen.st_mode)) return std::nullopt;
  return FileMark{static_cast<std::uintmax_t>(seen.st_size), seen.st_ino, nanoseconds(seen.st_mtim),
                  nanoseconds(seen.st_ctim)};
}

void Settling::being_written(const std::string& file) {
  File& f = files_[file];
  f.told = Told::writing, f.told_lately = true;
}

void Settling::closed(const std::string& file) {
  File& f = files_[file];
  f.told = Told::closed, f.told_lately = true;
  ++f.closings;
}

bool Settling::whole(const std::string& file, const FileMark& mark, Time now) {
  File& f = files_[file];
  f.looked_at = true;
  if (f.mark != mark) {
    f.mark = mark, f.since = now;
    if (!f.told_lately) f.told = Told::nothing;  // changed by a way that doesn't tell
  }
  f.told_lately = false;
  switch (f.told) {
    case Told::closed: return true;
    case Told::writing: return now - f.since >= kUnclosed * quiet_;
    case Told::nothing: break;
  }
  return now - f.since >= quiet_;
}

unsigned Settling::closings(const std::string& file) const {
  const auto found = files_.find(file);
  return found == files_.end() ? 0 : found->second.closings;
}

void Settling::end_of_look() {
  std::erase_if(files_, [](const auto& file) { return !file.second.looked_at; });
  for (auto& [name, file] : files_) file.looked_at = false;
}

}  // namespace plumbstack
