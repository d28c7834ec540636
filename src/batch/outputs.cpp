#include "outputs.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <set>

#include "plumbstack/base/staged_files.hpp"
#include "sarif.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr const char* kRunSchema = "plumbstack/batch/1";
constexpr const char* kOutputs[] = {"results.jsonl", "failures.jsonl", "timings.jsonl",
                                    "summary.csv",   "index.html",     "batch.json",
                                    "findings.sarif"};

std::string text_of(const Json& json) {
  return json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

// RFC 4180.
std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
  return quoted + "\"";
}

std::string csv_line(const StackFacts& f) {
  std::string codes;
  for (const std::string& code : f.codes) codes += (codes.empty() ? "" : " ") + code;
  return csv_field(f.stack) + "," + csv_field(f.pack) + "," + name_of(f.verdict) + "," +
         csv_field(codes) + "," + csv_field(f.taken_at) + "," + csv_field(f.failure) + "\r\n";
}

BatchVerdict verdict_of(const Json& result) {
  const std::string word = result.value("verdict", "");
  if (word == "pass") return BatchVerdict::pass;
  if (word == "fix") return BatchVerdict::fix;
  return BatchVerdict::retake;
}

Json json_of(const RunFacts& run) {
  Json json{{"schema", kRunSchema},
            {"program", {{"name", "plumbstack"}, {"version", PLUMBSTACK_VERSION}}},
            {"pack_sha256", run.pack_sha256},
            {"archive_sha256", run.stacks_sha256},
            {"shard", {{"part", run.shard.part}, {"of", run.shard.of}}},
            {"stacks", run.stacks},
            {"unplaced", Json::array()}};
  for (const Unplaced& u : run.unplaced)
    json["unplaced"].push_back({{"file", u.file}, {"why", u.why}});
  return json;
}

// What a run that was killed had begun to write.
void clear_parts(const fs::path& out) {
  std::error_code error;
  std::vector<fs::path> parts;
  for (fs::directory_iterator it(out, error), end; !error && it != end; it.increment(error))
    for (const char* name : kOutputs) {
      const std::string file = it->path().filename().string();
      if (file.starts_with("." + std::string(name) + ".") && file.ends_with(".part"))
        parts.push_back(it->path());
    }
  for (const fs::path& part : parts) fs::remove(part, error);
}

// The files that are written stack by stack.
class Lines {
 public:
  Lines(StagedFiles& staging)
      : results_(staging.reserve(kOutputs[0]), std::ios::binary),
        failures_(staging.reserve(kOutputs[1]), std::ios::binary),
        timings_(staging.reserve(kOutputs[2]), std::ios::binary),
        sarif_(staging.reserve(kOutputs[6]), std::ios::binary),
        log_(sarif_) {}

  void add(const BatchEntry& entry) {
    if (entry.result.is_null()) {
      failures_ << text_of({{"stack", entry.stack}, {"failure", entry.failure}});
      log_.add_failure(entry.stack, entry.failure);
    } else {
      results_ << text_of(entry.result);
      log_.add(entry.result);
    }
    timings_ << text_of({{"stack", entry.stack}, {"ms", entry.ms}});
  }

  bool close() {
    log_.end();
    bool good = true;
    for (std::ofstream* file : {&results_, &failures_, &timings_, &sarif_})
      file->close(), good = good && *file;
    return good;
  }

 private:
  std::ofstream results_, failures_, timings_, sarif_;
  SarifLog log_;
};

}  // namespace

const char* name_of(BatchVerdict verdict) {
  switch (verdict) {
    case BatchVerdict::pass: return "pass";
    case BatchVerdict::fix: return "fix";
    case BatchVerdict::retake: return "retake";
    case BatchVerdict::unread: return "unread";
  }
  return "unread";
}

StackFacts facts_of(const BatchEntry& entry) {
  StackFacts facts;
  facts.stack = entry.stack;
  facts.failure = entry.failure;
  if (entry.result.is_null()) return facts;
  const Json& result = entry.result;
  facts.verdict = verdict_of(result);
  facts.pictures = entry.pictures;
  facts.pack = result.value("pack", "");
  std::set<std::string> codes;
  for (const Json& finding : result.value("findings", Json::array()))
    if (finding.value("severity", "") != "note") codes.insert(finding.value("code", ""));
  facts.codes.assign(codes.begin(), codes.end());
  for (const Json& photo : result.value("photos", Json::array())) {
    const std::string taken = photo.value("taken_at", "");
    if (!taken.empty() && (facts.taken_at.empty() || taken < facts.taken_at))
      facts.taken_at = taken;
    for (const Json& slot : photo.value("slots", Json::array()))
      if (slot.contains("stagger_mm"))
        facts.staggers.push_back(static_cast<signed char>(
            std::clamp(std::lround(slot["stagger_mm"].get<double>() * 10), -127L, 127L)));
  }
  return facts;
}

void count_in(const StackFacts& facts, BatchCounts& counts) {
  switch (facts.verdict) {
    case BatchVerdict::pass: ++counts.pass; break;
    case BatchVerdict::fix: ++counts.fix; break;
    case BatchVerdict::retake: ++counts.retake; break;
    case BatchVerdict::unread: ++counts.unread; break;
  }
}

Result<void> retire_old_batch(const fs::path& out) {
  clear_parts(out);
  for (const char* name : kOutputs)
    if (auto retired = retire_file(out, name); !retired) return retired;
  return {};
}

Result<BatchCounts> write_outputs(const RunFacts& run, const fs::path& out) {
  StagedFiles staging(out);
  Lines lines(staging);
  std::vector<StackFacts> all;
  BatchCounts counts;
  counts.stacks = run.stacks.size();
  for (const std::string& name : run.stacks) {
    const auto entry = saved_entry(folder_of(out, name), name);
    const BatchEntry lost{name, "", nullptr, nullptr, "its entry can't be read again"};
    lines.add(entry ? *entry : lost);
    all.push_back(facts_of(entry ? *entry : lost));
    count_in(all.back(), counts);
    ++counts.done;
  }
  if (!lines.close())
    return fail(ErrorCode::output_unwritable,
                "can't be written; check the folder's permissions and the space left",
                (out / kOutputs[0]).string());
  std::string table = "stack,pack,verdict,findings,taken_at,failure\r\n";
  for (const StackFacts& facts : all) table += csv_line(facts);
  for (const auto& [name, bytes] :
       {std::pair<const char*, std::string>{kOutputs[3], std::move(table)},
        {kOutputs[4], index_page(all, run.unplaced)},
        {kOutputs[5], json_of(run).dump(1) + "\n"}})
    if (auto added = staging.add(name, bytes); !added) return tl::unexpected(added.error());
  if (auto committed = staging.commit(); !committed) return tl::unexpected(committed.error());
  return counts;
}

Result<RunFacts> read_run(const fs::path& out) {
  const fs::path file = out / kOutputs[5];
  std::ifstream in(file, std::ios::binary);
  const Json json = Json::parse(in, nullptr, false);
  if (!json.is_object() || json.value("schema", "") != kRunSchema)
    return fail(ErrorCode::sheet_invalid, "is not of a batch that ended", file.string());
  if (json["program"].value("version", "") != PLUMBSTACK_VERSION)
    return fail(ErrorCode::sheet_invalid, "is of another version of the program", file.string());
  RunFacts run;
  run.stacks_sha256 = json.value("archive_sha256", "");
  run.pack_sha256 = json.value("pack_sha256", "");
  run.shard = {json["shard"].value("part", 0), json["shard"].value("of", 0)};
  run.stacks = json["stacks"].get<std::vector<std::string>>();
  for (const Json& u : json["unplaced"])
    run.unplaced.push_back({u.value("file", ""), u.value("why", "")});
  return run;
}

}  // namespace plumbstack
