#include "folder_events.hpp"

#include <sys/inotify.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <utility>

namespace plumbstack {
namespace {

constexpr std::uint32_t kOfInterest = IN_CREATE | IN_MODIFY | IN_CLOSE_WRITE | IN_MOVED_TO |
                                      IN_MOVED_FROM | IN_DELETE | IN_ONLYDIR | IN_DONT_FOLLOW;

FolderEvents::Kind kind_of(std::uint32_t mask) {
  if ((mask & IN_ISDIR) == 0) {
    if ((mask & (IN_CLOSE_WRITE | IN_MOVED_TO)) != 0) return FolderEvents::Kind::closed;
    if ((mask & (IN_CREATE | IN_MODIFY)) != 0) return FolderEvents::Kind::written;
  }
  return FolderEvents::Kind::other;  // IN_Q_OVERFLOW too: more happened than was told
}

}  // namespace

FolderEvents::FolderEvents(std::filesystem::path root)
    : root_(std::move(root)), line_(::inotify_init1(IN_NONBLOCK | IN_CLOEXEC)) {}

FolderEvents::~FolderEvents() {
  if (line_ >= 0) ::close(line_);
}

bool FolderEvents::follow(const std::vector<std::string>& folders) {
  if (line_ < 0) return false;
  bool all = true;
  std::map<int, std::string> followed;
  for (const std::string& folder : folders) {
    // The same folder keeps its number, under whatever name: moved ones come right by this.
    const int number = ::inotify_add_watch(line_, (root_ / folder).c_str(), kOfInterest);
    if (number >= 0)
      followed[number] = folder;
    else if (errno != ENOENT && errno != ENOTDIR)  // gone in the meantime
      all = false;
  }
  // One that was moved out would tell of files that lie elsewhere.
  for (const auto& [number, folder] : folders_)
    if (!followed.contains(number)) ::inotify_rm_watch(line_, number);
  folders_ = std::move(followed);
  return all;
}

bool FolderEvents::drain(const std::function<void(Kind, const std::string&)>& tell) {
  if (line_ < 0) return false;
  bool any = false;
  alignas(inotify_event) std::array<char, 65536> bytes;
  for (ssize_t size; (size = ::read(line_, bytes.data(), bytes.size())) > 0;)
    for (const char* at = bytes.data(); at < bytes.data() + size;) {
      const auto& event = *reinterpret_cast<const inotify_event*>(at);
      at += sizeof(inotify_event) + event.len;
      any = true;
      const auto folder = folders_.find(event.wd);
      if (folder == folders_.end() || event.len == 0) {
        tell(Kind::other, "");
        continue;
      }
      const std::string name = event.name;
      tell(kind_of(event.mask), folder->second.empty() ? name : folder->second + "/" + name);
    }
  return any;
}

}  // namespace plumbstack
