#include "plumbstack/job_folder.hpp"

#include <unistd.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>
#include <set>

#include "plumbstack/base/staged_files.hpp"
#include "whole_file.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr const char* kSchema = "plumbstack/job/1";

std::string job_document(const std::string& number, const std::vector<SealedEntry>& entries) {
  Json json{{"schema", kSchema}, {"job", number}, {"entries", Json::array()}};
  for (const SealedEntry& entry : entries)
    json["entries"].push_back({{"hash", entry.hash}, {"text", entry.text}});
  return json.dump(1) + "\n";
}

struct Export {
  std::vector<SealedEntry> sealed;
  std::map<std::string, KeptFile> files;     // by hash
  std::map<std::string, KeptFile> pictures;  // by the name to look at
};

// "entry-10-number-number.jpg": where a photo belongs comes first.
void name_pictures(const JobEntry& entry, Export& out) {
  const std::string stem = "entry-" + std::to_string(entry.place) + "-";
  std::map<std::string, std::string> sides;
  if (const auto* result = std::get_if<ResultAttached>(&entry.fact))
    for (const ResultPhoto& photo : result->photos) sides[photo.file.sha256] = photo.side + "-";
  for (const KeptFile& file : files_of(entry.fact)) {
    const auto side = sides.find(file.sha256);
    const std::string name = fs::path(file.name).filename().string();
    std::string shown = stem;
    if (side != sides.end()) shown += side->second;
    shown += name;
    std::replace(shown.begin(), shown.end(), '/', '_');
    out.pictures[shown] = file;
    out.files[file.sha256] = file;
  }
}

Result<Export> gathered(const JobStore& store, const std::string& number) {
  Export out;
  auto sealed = store.sealed_entries(number);
  if (!sealed) return tl::unexpected(sealed.error());
  out.sealed = std::move(*sealed);
  for (const SealedEntry& one : out.sealed) {
    const auto entry = parse_entry(one.text);
    if (!entry) return tl::unexpected(entry.error());
    name_pictures(*entry, out);
  }
  return out;
}

Result<void> write_files(const JobStore& store, const fs::path& folder,
                         const std::map<std::string, KeptFile>& files) {
  std::error_code error;
  fs::create_directories(folder, error);
  StagedFiles staged(folder);
  for (const auto& [name, file] : files) {
    const auto bytes = store.files().bytes_of(file);
    if (!bytes) return tl::unexpected(bytes.error());
    if (auto added = staged.add(name, *bytes); !added) return added;
  }
  return staged.commit();
}

Result<void> write_whole(const JobStore& store, const std::string& number, const Export& out,
                         const fs::path& folder,
                         const std::map<std::string, std::string>& to_look_at) {
  if (auto done = write_files(store, folder / "files", out.files); !done) return done;
  if (auto done = write_files(store, folder / "pictures", out.pictures); !done) return done;
  StagedFiles staged(folder);
  for (const auto& [name, bytes] : to_look_at)
    if (auto added = staged.add(name, bytes); !added) return added;
  if (auto added = staged.add("job.json", job_document(number, out.sealed)); !added) return added;
  return staged.commit();
}

tl::unexpected<Error> invalid(const std::string& why, const fs::path& file) {
  return fail(ErrorCode::document_invalid, why, file.string());
}

Result<std::vector<SealedEntry>> read_job_document(const fs::path& file) {
  const auto text = whole_file(file);
  if (!text) return invalid("can't be read; an export of a job is a folder with job.json", file);
  const Json json = Json::parse(*text, nullptr, false);
  if (!json.is_object() || !json.contains("schema") || !json["schema"].is_string())
    return invalid("is no exported job", file);
  const std::string schema = json["schema"];
  if (schema != kSchema) {
    if (schema.rfind("plumbstack/job/", 0) != 0) return invalid("is no exported job", file);
    return fail(ErrorCode::store_unusable,
                "was written by a newer plumbstack (" + schema + "); use that one", file.string());
  }
  std::vector<SealedEntry> entries;
  try {
    for (const Json& one : json.at("entries"))
      entries.push_back({static_cast<int>(entries.size()) + 1, one.at("text"), one.at("hash")});
  } catch (const Json::exception&) {
    return invalid("is an exported job whose entries can't be read", file);
  }
  if (entries.empty()) return invalid("is an exported job without entries", file);
  return entries;
}

Result<void> keep_files(JobStore& store, const fs::path& folder,
                        const std::vector<JobEntry>& entries) {
  for (const JobEntry& entry : entries)
    for (const KeptFile& file : files_of(entry.fact)) {
      const fs::path from = folder / "files" / file.sha256;
      const auto bytes = whole_file(from);
      if (!bytes)
        return fail(ErrorCode::record_damaged, "is missing; it is " + file.name, from.string());
      auto kept = store.files().keep(file.name, *bytes);
      if (!kept) return tl::unexpected(kept.error());
      if (kept->sha256 != file.sha256)
        return fail(ErrorCode::record_damaged, "was changed; it is " + file.name, from.string());
    }
  return {};
}

}  // namespace

Result<void> export_job(const JobStore& store, const std::string& number, const fs::path& folder,
                        const std::map<std::string, std::string>& to_look_at) {
  std::error_code error;
  if (fs::exists(fs::symlink_status(folder, error)))
    return fail(ErrorCode::output_unwritable, "is there already; name a folder that is not",
                folder.string());
  const auto out = gathered(store, number);
  if (!out) return tl::unexpected(out.error());
  const fs::path place = fs::absolute(folder).lexically_normal();
  const fs::path whole = place.has_filename() ? place : place.parent_path();
  const fs::path part =
      whole.parent_path() / ("." + whole.filename().string() + "." + std::to_string(::getpid()));
  fs::create_directories(part, error);
  auto done = write_whole(store, number, *out, part, to_look_at);
  if (done) {
    fs::rename(part, whole, error);
    if (!error) return {};
    done = fail(ErrorCode::output_unwritable, "can't be made (" + error.message() + ")",
                folder.string());
  }
  fs::remove_all(part, error);
  return done;
}

Result<std::string> import_job(JobStore& store, const fs::path& folder) {
  const auto sealed = read_job_document(folder / "job.json");
  if (!sealed) return tl::unexpected(sealed.error());
  const auto first = parse_entry(sealed->front().text);
  if (!first) {
    Error error = first.error();
    error.where = (folder / "job.json").string() + ", entry 1";
    return tl::unexpected(error);
  }
  const auto entries = unsealed(first->job, *sealed, sealed->back().hash);
  if (!entries) return tl::unexpected(entries.error());
  if (auto kept = keep_files(store, folder, *entries); !kept) return tl::unexpected(kept.error());
  if (auto done = store.take_in({*sealed}); !done) return tl::unexpected(done.error());
  return first->job;
}

}  // namespace plumbstack
