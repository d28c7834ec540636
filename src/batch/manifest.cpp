// manifest.csv: stack, side, file, and where they are wanted pack and slot_1. It is in force for
// the whole archive: what it doesn't name is no stack's.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <map>
#include <set>

#include "parts.hpp"
#include "plumbstack/base/csv.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr const char* kColumns[] = {"stack", "side", "file", "pack", "slot_1"};
enum Column { kStack, kSide, kFile, kPack, kSlot1 };

struct Row {
  std::string fields[5];
  int line = 1;
};

tl::unexpected<Error> wrong(const fs::path& file, int line, const std::string& what) {
  return fail(ErrorCode::sheet_invalid, "line " + std::to_string(line) + ": " + what,
              file.string());
}

// In which field of a record each column stands.
Result<std::vector<std::size_t>> columns_of(const CsvRecord& titles, const fs::path& file) {
  std::vector<std::size_t> at(std::size(kColumns), std::string::npos);
  for (std::size_t i = 0; i < titles.fields.size(); ++i)
    for (std::size_t c = 0; c < std::size(kColumns); ++c)
      if (titles.fields[i].text == kColumns[c]) {
        if (at[c] != std::string::npos)
          return wrong(file, titles.line, std::string("two columns ") + kColumns[c]);
        at[c] = i;
      }
  for (const Column c : {kStack, kSide, kFile})
    if (at[c] == std::string::npos)
      return wrong(file, titles.line,
                   std::string("no column ") + kColumns[c] +
                       "; the first line names stack, side, file, and pack and "
                       "slot_1 where they are wanted");
  return at;
}

Result<std::vector<Row>> rows_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  const std::string text((std::istreambuf_iterator<char>(in)), {});
  const auto records = parse_csv(text, file.string());
  if (!records) return tl::unexpected(records.error());
  if (records->empty()) return wrong(file, 1, "is empty");
  const auto at = columns_of(records->front(), file);
  if (!at) return tl::unexpected(at.error());
  std::vector<Row> rows;
  for (std::size_t r = 1; r < records->size(); ++r) {
    const CsvRecord& record = (*records)[r];
    Row row;
    row.line = record.line;
    for (std::size_t c = 0; c < std::size(kColumns); ++c)
      if ((*at)[c] < record.fields.size()) row.fields[c] = record.fields[(*at)[c]].text;
    rows.push_back(std::move(row));
  }
  return rows;
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

  Result<void> take(const Row& row) {
    const std::string &name = row.fields[kStack], &side = row.fields[kSide],
                      &photo = row.fields[kFile], &pack = row.fields[kPack],
                      &slot_1 = row.fields[kSlot1];
    if (!good_path(name)) return wrong(file_, row.line, "'" + name + "' can't name a stack");
    if (side.empty()) return wrong(file_, row.line, "names no side");
    if (!good_path(photo) || (!pack.empty() && !good_path(pack)))
      return wrong(file_, row.line, "files are named as they lie in the archive");
    if (!slot_1.empty() && !edge_of_word(slot_1))
      return wrong(file_, row.line, "slot_1 is top, bottom, left or right, not '" + slot_1 + "'");
    if (!sides_.emplace(name, side).second)
      return wrong(file_, row.line, "a second photo for side " + side + " of stack " + name);
    ArchiveStack& stack = stacks_.try_emplace(name, ArchiveStack{name, pack, {}}).first->second;
    if (stack.pack != pack)
      return wrong(file_, row.line, "another pack for stack " + name + " than above");
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

Result<void> read_manifest(Archive& archive) {
  const fs::path file = archive.root / "manifest.csv";
  const auto rows = rows_of(file);
  if (!rows) return tl::unexpected(rows.error());
  Manifest manifest(archive, file);
  for (const Row& row : *rows)
    if (auto taken = manifest.take(row); !taken) return taken;
  manifest.finish();
  return {};
}

}  // namespace plumbstack
