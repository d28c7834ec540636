// A folder is a stack if photos lie in it whose names are those of the pack's sides.
#include "plumbstack/archive.hpp"

#include <algorithm>
#include <cctype>
#include <set>

#include "parts.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

bool is_photo(const fs::path& file) {
  static const std::set<std::string> kinds{".jpg",  ".jpeg", ".png", ".heic",
                                           ".heif", ".tif",  ".tiff"};
  std::string kind = file.extension().string();
  std::transform(kind.begin(), kind.end(), kind.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return kinds.contains(kind);
}

class Walk {
 public:
  Walk(Archive& archive, PackBook& packs, fs::path leave_out)
      : archive_(archive), packs_(packs), leave_out_(std::move(leave_out)) {}

  // `pack`: the definition of the folder above.
  void folder(const std::string& name, std::string pack) {
    std::error_code error;
    const fs::path path = archive_.root / name;
    if (!leave_out_.empty() && fs::equivalent(path, leave_out_, error)) return;
    std::vector<fs::directory_entry> entries;
    for (fs::directory_iterator it(path, error), end; !error && it != end; it.increment(error))
      if (it->path().filename().string().front() != '.') entries.push_back(*it);
    if (error) {
      archive_.unplaced.push_back({name, "the folder can't be read: " + error.message()});
      archive_.unreadable.push_back(name);
      return;
    }
    archive_.folders.push_back(name);
    std::sort(entries.begin(), entries.end());
    if (fs::is_regular_file(path / "pack.json", error)) pack = below(name, "pack.json");
    ArchiveStack stack{name.empty() ? "." : name, pack, {}};
    for (const fs::directory_entry& entry : entries) look_at(entry, name, stack);
    if (!stack.photos.empty()) archive_.stacks.push_back(std::move(stack));
  }

 private:
  static std::string below(const std::string& folder, const std::string& name) {
    return folder.empty() ? name : folder + "/" + name;
  }

  void look_at(const fs::directory_entry& entry, const std::string& folder_name,
               ArchiveStack& stack) {
    std::error_code error;
    const std::string name = below(folder_name, entry.path().filename().string());
    const bool link = entry.is_symlink(error);
    if (entry.is_directory(error)) {
      if (entry.path().filename() == kResultFolder) return;
      if (link)
        archive_.unplaced.push_back({name, "a link to a folder is not followed"});
      else
        folder(name, stack.pack);
    } else if (is_photo(entry.path())) {
      if (link && !lies_within(entry.path(), archive_.root))
        archive_.unplaced.push_back({name, "a link out of the archive is not followed"});
      else
        place(entry.path().stem().string(), name, stack);
    }
  }

  void place(const std::string& side, const std::string& file, ArchiveStack& stack) {
    const Result<PackFile>& pack = packs_.at(stack.pack);
    if (pack && !pack->pack.side(side))
      archive_.unplaced.push_back({file, no_such_side(pack->pack, side)});
    else
      stack.photos.push_back({side, file, std::nullopt});
  }

  Archive& archive_;
  PackBook& packs_;
  fs::path leave_out_;
};

}  // namespace

std::string no_such_side(const Pack& pack, const std::string& side) {
  std::string names;
  for (const Side& s : pack.sides) names += (names.empty() ? "" : ", ") + s.name;
  return "pack " + pack.id + " has no side " + side + "; it has " + names;
}

bool lies_within(const fs::path& file, const fs::path& root) {
  std::error_code error;
  const fs::path target = fs::canonical(file, error);
  if (error) return false;
  const fs::path top = fs::canonical(root, error);
  return !error &&
         std::mismatch(top.begin(), top.end(), target.begin(), target.end()).first == top.end();
}

Result<Archive> read_archive(const fs::path& root, PackBook& packs, const fs::path& leave_out) {
  std::error_code error;
  if (!fs::is_directory(root, error))
    return fail(ErrorCode::photo_unreadable, "is no folder; name the archive's", root.string());
  Archive archive{root, {}, {}, {}};
  const auto named = read_manifest(archive);
  if (!named) return tl::unexpected(named.error());
  if (!*named) Walk(archive, packs, leave_out).folder("", "");
  std::sort(archive.stacks.begin(), archive.stacks.end(),
            [](const ArchiveStack& a, const ArchiveStack& b) { return a.name < b.name; });
  std::sort(archive.unplaced.begin(), archive.unplaced.end(),
            [](const Unplaced& a, const Unplaced& b) { return a.file < b.file; });
  return archive;
}

}  // namespace plumbstack
