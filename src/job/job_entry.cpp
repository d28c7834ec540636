// The text of an entry is what is kept and what is hashed, so nothing depends on how a database
// gives back numbers or times. Reading is strict by writing again: a text that does not come out
// the same was not written by this program.
#include "plumbstack/job_entry.hpp"

#include <algorithm>

#include "fact_json.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {

const char* const kNoEntry = "0000000000000000000000000000000000000000000000000000000000000000";

namespace {

using Json = nlohmann::json;

constexpr const char* kSchema = "plumbstack/job-entry/1";

std::string sha256_of(const std::string& text) {
  return sha256_hex({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

std::string canonical(const JobEntry& entry, const std::string& before) {
  return Json{{"schema", kSchema},
              {"job", entry.job},
              {"place", entry.place},
              {"at", entry.at},
              {"by", entry.by},
              {"kind", kind_of(entry.fact)},
              {"fact", json_of(entry.fact)},
              {"before", before}}
      .dump();
}

// Becomes a file's name: nothing else may stand there.
bool is_hash(const std::string& text) {
  return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

struct Parsed {
  JobEntry entry;
  std::string before;
};

tl::unexpected<Error> damaged(const std::string& why) {
  return fail(ErrorCode::record_damaged, why);
}

bool is_of_newer_program(const Json& json) {
  const std::string schema = json.value("schema", "");
  const std::string stem = "plumbstack/job-entry/";
  return schema.compare(0, stem.size(), stem) == 0 && schema != kSchema;
}

Result<Parsed> parse(const std::string& text) {
  try {
    const Json json = Json::parse(text);
    if (is_of_newer_program(json))
      return fail(ErrorCode::store_unusable, "was written by a newer plumbstack (" +
                                                 json["schema"].get<std::string>() +
                                                 "); use that one");
    auto fact = fact_of(json.at("kind"), json.at("fact"));
    if (!fact) return damaged("is of no known kind");
    for (const KeptFile& file : files_of(*fact))
      if (!is_hash(file.sha256)) return damaged("names a file by no hash");
    Parsed parsed{{json.at("job"), json.at("place"), json.at("at"), json.at("by"), *fact},
                  json.at("before")};
    if (canonical(parsed.entry, parsed.before) != text)
      return damaged("holds what this program does not write");
    return parsed;
  } catch (const Json::exception&) {
    return damaged("is not readable");
  }
}

std::string named(const std::string& job, int place) {
  return "job " + job + ", entry " + std::to_string(place);
}

}  // namespace

Result<SealedEntry> seal(const JobEntry& entry, const std::string& hash_before) {
  try {
    const std::string text = canonical(entry, hash_before);
    return SealedEntry{entry.place, text, sha256_of(text)};
  } catch (const Json::exception&) {
    return fail(ErrorCode::document_invalid, "a text is not UTF-8; set the terminal to UTF-8");
  }
}

Result<JobEntry> parse_entry(const std::string& text) {
  auto parsed = parse(text);
  if (!parsed) return tl::unexpected(parsed.error());
  return parsed->entry;
}

ChainRead read_chain(const std::string& job, const std::vector<SealedEntry>& entries,
                     const std::string& head) {
  ChainRead chain;
  std::string before = kNoEntry;
  for (const SealedEntry& sealed : entries) {
    const int place = static_cast<int>(chain.entries.size()) + 1;
    const auto wrong = [&](const std::string& why) {
      chain.fault = Error{ErrorCode::record_damaged, why, named(job, place)};
      return chain;
    };
    if (sealed.place != place) return wrong("is missing");
    if (sha256_of(sealed.text) != sealed.hash) return wrong("was changed after it was written");
    auto parsed = parse(sealed.text);
    if (!parsed) {
      chain.fault = Error{parsed.error().code, parsed.error().message, named(job, place)};
      return chain;
    }
    if (parsed->before != before) return wrong("does not follow the entry before it");
    if (parsed->entry.place != place || parsed->entry.job != job)
      return wrong("belongs to another place");
    before = sealed.hash;
    chain.entries.push_back(std::move(parsed->entry));
  }
  if (before != head)
    chain.fault = Error{ErrorCode::record_damaged, "is not the last that was written",
                        named(job, static_cast<int>(chain.entries.size()))};
  return chain;
}

Result<std::vector<JobEntry>> unsealed(const std::string& job,
                                       const std::vector<SealedEntry>& entries,
                                       const std::string& head) {
  ChainRead chain = read_chain(job, entries, head);
  if (chain.fault) return tl::unexpected(*chain.fault);
  return std::move(chain.entries);
}

std::vector<KeptFile> files_of(const Fact& fact) {
  std::vector<KeptFile> files;
  const auto add = [&](const KeptFile& file) {
    if (std::find(files.begin(), files.end(), file) == files.end()) files.push_back(file);
  };
  if (const auto* opened = std::get_if<Opened>(&fact)) add(opened->pack);
  if (const auto* plan = std::get_if<PlanAttached>(&fact)) add(plan->file);
  if (const auto* photo = std::get_if<PhotoAttached>(&fact)) add(photo->file);
  if (const auto* confirmed = std::get_if<ReadingConfirmed>(&fact)) add(confirmed->crop);
  if (const auto* result = std::get_if<ResultAttached>(&fact)) {
    add(result->file);
    for (const ResultPhoto& photo : result->photos) add(photo.file);
    for (const KeptFile& picture : result->pictures) add(picture);
  }
  return files;
}

}  // namespace plumbstack
