// What a manifest's rows say, whatever its form. It is in force for the whole archive: what it
// doesn't name is no stack's.
#include <fstream>
#include <iterator>
#include <map>
#include <set>

#include "manifest_rows.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> wrong(const fs::path& file, const ManifestRow& row, const std::string& what) {
  return fail(ErrorCode::sheet_invalid, row.place + ": " + what, file.string());
}

// Names become folders of the output: none may leave it.
bool good_path(const std::string& name) {
  const fs::path path(name);
  return !name.empty() && path.is_relative() && path.lexically_normal() == path &&
         *path.begin() != ".." && name.back() != '/';
}

// The rows one after the other, each held against those above.
class Manifest {
 public:
  Manifest(Archive& archive, fs::path file) : archive_(archive), file_(std::move(file)) {}

  Result<void> take(const ManifestRow& row) {
    const std::string &name = row.stack, &side = row.side, &photo = row.file, &pack = row.pack,
                      &slot_1 = row.slot_1;
    if (!good_path(name)) return wrong(file_, row, "'" + name + "' can't name a stack");
    if (side.empty()) return wrong(file_, row, "names no side");
    if (!good_path(photo) || (!pack.empty() && !good_path(pack)))
      return wrong(file_, row, "files are named as they lie in the archive");
    if (!slot_1.empty() && !edge_of_word(slot_1))
      return wrong(file_, row, "slot_1 is top, bottom, left or right, not '" + slot_1 + "'");
    if (!sides_.emplace(name, side).second)
      return wrong(file_, row, "a second photo for side " + side + " of stack " + name);
    ArchiveStack& stack = stacks_.try_emplace(name, ArchiveStack{name, pack, {}}).first->second;
    if (stack.pack != pack)
      return wrong(file_, row, "another pack for stack " + name + " than above");
    const fs::path path = archive_.root / photo;
    std::error_code error;
    if (fs::exists(path, error) && !lies_within(path, archive_.root))
      archive_.unplaced.push_back({photo, "a link out of the archive is not followed"});
    else
      stack.photos.push_back({side, photo, edge_of_word(slot_1)});
    return {};
  }

  void finish() {
    std::set<std::string> folders{""};
    for (auto& [name, stack] : stacks_) {
      for (const ArchivePhoto& photo : stack.photos)
        folders.insert(fs::path(photo.file).parent_path().string());
      if (!stack.photos.empty()) archive_.stacks.push_back(std::move(stack));
    }
    archive_.folders.assign(folders.begin(), folders.end());
  }

 private:
  Archive& archive_;
  fs::path file_;
  std::map<std::string, ArchiveStack> stacks_;
  std::set<std::pair<std::string, std::string>> sides_;
};

}  // namespace

std::optional<Edge> edge_of_word(const std::string& word) {
  for (const Edge edge : {Edge::top, Edge::bottom, Edge::left, Edge::right})
    if (word == name_of(edge)) return edge;
  return std::nullopt;
}

Result<bool> read_manifest(Archive& archive) {
  const fs::path csv = archive.root / "manifest.csv", json = archive.root / "manifest.json";
  std::error_code error;
  const bool as_csv = fs::exists(csv, error), as_json = fs::exists(json, error);
  if (!as_csv && !as_json) return false;
  const fs::path& file = as_csv ? csv : json;
  if (as_csv && as_json)
    return fail(ErrorCode::sheet_invalid, "stands beside manifest.json; keep one of the two",
                file.string());
  std::ifstream in(file, std::ios::binary);
  const std::string text((std::istreambuf_iterator<char>(in)), {});
  if (!in)
    return fail(ErrorCode::sheet_unreadable, "can't be read; check its permissions", file.string());
  const auto rows = as_csv ? rows_of_csv(text, file.string()) : rows_of_json(text, file.string());
  if (!rows) return tl::unexpected(rows.error());
  Manifest manifest(archive, file);
  for (const ManifestRow& row : *rows)
    if (auto taken = manifest.take(row); !taken) return tl::unexpected(taken.error());
  manifest.finish();
  return true;
}

}  // namespace plumbstack
