// One stack of the archive: checked, written, and found again by a later run.
#include <malloc.h>

#include <algorithm>
#include <fstream>

#include "parts.hpp"
#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/file_sha256.hpp"
#include "plumbstack/photo.hpp"
#include "plumbstack/record.hpp"
#include "shrink_picture.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr const char* kEntrySchema = "plumbstack/batch-entry/1";

// Files are named as they lie in the archive, wherever that lies.
std::string line_of(const Error& error, const fs::path& root) {
  if (error.where.empty()) return error.message;
  const std::string above = (root / "").string();
  const bool within = error.where.rfind(above, 0) == 0;
  return error.where.substr(within ? above.size() : 0) + ": " + error.message;
}

// What the verdict was made from. The photos in their order; of each the side and the edge too.
std::string key_of(const ArchiveStack& stack, const PackFile& pack,
                   const std::vector<std::string>& photo_hashes) {
  std::string text = std::string(PLUMBSTACK_VERSION) + "\n" + pack.sha256 + "\n";
  for (std::size_t i = 0; i < stack.photos.size(); ++i) {
    const ArchivePhoto& photo = stack.photos[i];
    text += photo.side + "@" + (photo.slot_1_at ? name_of(*photo.slot_1_at) : "") + "=" +
            photo_hashes[i] + " " + photo.file + "\n";
  }
  return sha256_hex({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

// The result document of the stack, its files named as they lie in the archive; durations apart.
Json archive_result(Json result, const ArchiveStack& stack) {
  Json out;
  for (auto& [key, value] : result.items()) {
    if (key != "ms") out[key] = std::move(value);
    if (key == "schema") out["stack"] = stack.name;
  }
  for (std::size_t i = 0; i < stack.photos.size(); ++i)
    out["photos"][i]["file"] = stack.photos[i].file;
  return out;
}

Result<void> write_thumbnails(const fs::path& folder, const Check& check) {
  StagedFiles staging(folder);
  for (const std::string& name : picture_names(check)) {
    const std::string bytes = thumbnail_of(folder / name);
    if (auto added = staging.add(thumbnail_name(name), bytes); !added) return added;
  }
  return staging.commit();
}

Result<void> write_pictures(const fs::path& folder, const Pack& pack, const Check& check) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (error)
    return fail(ErrorCode::output_unwritable, "can't be made a folder: " + error.message(),
                folder.string());
  if (auto written = write_record(folder, pack, check); !written) return written;
  return write_thumbnails(folder, check);
}

// What an entry must have been made from to be taken over; empty where a photo can't be read.
std::string key_now(const fs::path& root, const ArchiveStack& stack, PackBook& packs) {
  const Result<PackFile>& pack = packs.at(stack.pack);
  if (!pack) return "";
  std::vector<std::string> hashes;
  for (const ArchivePhoto& photo : stack.photos) {
    // In pieces: what lies there may be larger than any photo, and than the memory.
    const auto hash = file_sha256(root / photo.file);
    if (!hash) return "";
    hashes.push_back(*hash);
  }
  return key_of(stack, *pack, hashes);
}

// Whether a check writes files of this name, or had begun to when it was killed.
bool is_of_a_check(const std::string& name) {
  return name == "report.html" || name.ends_with(".annotated.jpg") ||
         name.ends_with(".small.jpg") || name.ends_with(".part");
}

}  // namespace

fs::path folder_of(const fs::path& out, const std::string& stack) {
  return (out / "stacks" / stack).lexically_normal();
}

std::chrono::milliseconds stack_limit(std::chrono::milliseconds photo, const ArchiveStack& stack) {
  return photo * static_cast<int>(std::max<std::size_t>(1, stack.photos.size()));
}

Result<void> retire_entry(const fs::path& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) return {};
  // First, so that nothing is taken over once any other file is gone.
  fs::remove(folder / kEntryFile, error);
  if (error)
    return fail(ErrorCode::output_unwritable, "can't be taken away: " + error.message(),
                (folder / kEntryFile).string());
  // Next, so that a kill in between leaves no verdict of other photos standing.
  if (auto retired = retire_old_result(folder); !retired) return retired;
  std::vector<fs::path> old;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error))
    if (is_of_a_check(it->path().filename().string())) old.push_back(it->path());
  for (const fs::path& file : old) fs::remove(file, error);
  return {};
}

Result<BatchEntry> check_entry(const fs::path& root, const ArchiveStack& stack, PackBook& packs,
                               Nets& nets, const PhotoOptions& options, const fs::path& folder) {
  if (auto retired = retire_entry(folder); !retired) return tl::unexpected(retired.error());
  BatchEntry entry;
  entry.stack = stack.name;
  const auto failed = [&](const Error& error) {
    entry.failure = line_of(error, root);
    return entry;
  };
  const Result<PackFile>& pack = packs.at(stack.pack);
  if (!pack) return failed(pack.error());
  std::vector<PhotoRequest> requests;
  for (const ArchivePhoto& photo : stack.photos)
    requests.push_back({root / photo.file, photo.side, photo.slot_1_at});
  PhotoOptions photo = options;
  photo.keep_bytes = true;  // a worker holds the pixels of one photo at a time
  const Result<Check> check = check_stack(pack->pack, requests, nets, {photo, {}, {}, {}});
  if (!check) return failed(check.error());
  // What the check had in use goes back to the system before the pictures need as much again.
  ::malloc_trim(0);
  std::vector<std::string> hashes;
  for (const CheckedPhoto& checked : check->photos) hashes.push_back(checked.photo.sha256);
  entry.key = key_of(stack, *pack, hashes);
  Json result = result_json(pack->pack, *check);
  entry.ms = result["ms"];
  entry.pictures = picture_names(*check);
  entry.result = archive_result(std::move(result), stack);
  if (auto written = write_pictures(folder, pack->pack, *check); !written)
    return tl::unexpected(written.error());
  return entry;
}

Result<void> save_entry(const fs::path& folder, const BatchEntry& entry) {
  std::error_code error;
  fs::create_directories(folder, error);
  const Json json{{"schema", kEntrySchema},    {"stack", entry.stack}, {"key", entry.key},
                  {"result", entry.result},    {"ms", entry.ms},       {"failure", entry.failure},
                  {"pictures", entry.pictures}};
  StagedFiles staging(folder);
  if (auto added = staging.add(
          kEntryFile, json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n");
      !added)
    return added;
  return staging.commit();
}

Result<void> save_failure(const fs::path& folder, const std::string& stack,
                          const std::string& why) {
  if (auto retired = retire_entry(folder); !retired) return retired;
  return save_entry(folder, {stack, "", nullptr, nullptr, why});
}

std::optional<BatchEntry> saved_entry(const fs::path& folder, const std::string& stack) {
  std::ifstream in(folder / kEntryFile, std::ios::binary);
  const Json json = Json::parse(in, nullptr, false);
  if (!json.is_object() || json.value("schema", "") != kEntrySchema ||
      json.value("stack", "") != stack || !json.contains("result") || !json.contains("ms"))
    return std::nullopt;
  return BatchEntry{
      stack,      json.value("key", ""),     json["result"],
      json["ms"], json.value("failure", ""), json.value("pictures", std::vector<std::string>())};
}

std::optional<BatchEntry> entry_of_same(const fs::path& root, const ArchiveStack& stack,
                                        PackBook& packs, const fs::path& folder) {
  auto saved = saved_entry(folder, stack.name);
  if (!saved || saved->result.is_null() || saved->key != key_now(root, stack, packs))
    return std::nullopt;
  return saved;
}

}  // namespace plumbstack
