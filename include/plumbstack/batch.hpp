// Archive -> results of all its stacks. Each stack is checked in one of several worker processes,
// so that a photo that brings the check down, or takes too long, costs its own stack only; what is
// done lies in a file of its own as soon as it is told, and a run that was stopped goes on from
// there.
#pragma once

#include <atomic>
#include <chrono>
#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "plumbstack/archive.hpp"
#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// One of `of` parts of an archive, by a stable hash of the stacks' names; 1-based.
struct Shard {
  int part = 1, of = 1;
};

/// "2/8"; nullopt for any other word, or a part that is not among them.
std::optional<Shard> shard_named(const std::string& word);
/// From SLURM_ARRAY_TASK_ID, _MIN, _STEP and _COUNT, where this is a task of an array.
std::optional<Shard> shard_of_task(const std::function<const char*(const char*)>& variable);
bool belongs_to(const std::string& stack, const Shard& shard);

struct BatchOptions {
  std::filesystem::path nets;
  PhotoOptions photo;
  int workers = 1;
  std::chrono::seconds photo_limit{120};  // a stack has so long for each of its photos
  Shard shard;
  bool resume = false;  // takes over what was done from the same photos, pack and version
};

/// What is known of one stack.
struct BatchEntry {
  std::string stack;
  std::string key;                // of the photos, the pack and the program that it was made from
  nlohmann::ordered_json result;  // null where the stack could not be checked
  nlohmann::ordered_json ms;      // duration of each stage
  std::string failure;            // why it could not be checked, one line
  std::vector<std::string> pictures = {};  // file names of the annotated photos, in their order
};

enum class BatchVerdict { pass, fix, retake, unread };

struct BatchCounts {
  std::size_t stacks = 0;  // of this shard
  std::size_t done = 0, taken_over = 0;
  std::size_t pass = 0, fix = 0, retake = 0, unread = 0;
  bool stopped = false;
};

/// Called after each stack and at least once a second.
using BatchProgress = std::function<void(const BatchCounts&, std::chrono::steady_clock::duration)>;

/// Checks the stacks of the shard and writes results.jsonl, failures.jsonl, timings.jsonl,
/// summary.csv, index.html, findings.sarif and batch.json, and of each stack what `check` writes
/// under stacks/NAME. Stopped (`stop` set), it ends when the stacks at hand are done and writes
/// none of the files that speak for the whole. Errors: output_unwritable, model_missing.
Result<BatchCounts> run_batch(const Archive& archive, PackBook& packs, const BatchOptions& options,
                              const std::filesystem::path& out, const std::atomic<bool>& stop,
                              const BatchProgress& progress);

/// Renames the files that speak for an earlier run of the whole. Called before anything is read, so
/// that a run that fails leaves no old verdicts in place. Error: output_unwritable.
Result<void> retire_old_batch(const std::filesystem::path& out);

/// Joins the outputs of all shards of one archive, byte for byte what one run would have written.
/// Errors: sheet_invalid where a shard is missing, twice there, or of another archive, pack or
/// version; output_unwritable.
Result<BatchCounts> merge_batches(const std::vector<std::filesystem::path>& shards,
                                  const std::filesystem::path& out);

}  // namespace plumbstack
