// The files that speak for a whole run.
#pragma once

#include <string>
#include <vector>

#include "parts.hpp"

namespace plumbstack {

/// What the summary and the page tell of one stack; a run keeps it of all its stacks.
struct StackFacts {
  std::string stack, pack;
  BatchVerdict verdict = BatchVerdict::unread;
  std::string failure;
  std::string taken_at;               // of the first photo that says when, "YYYY:MM:DD HH:MM:SS"
  std::vector<std::string> codes;     // of what is to be fixed or photographed again, each once
  std::vector<std::string> pictures;  // file names of the annotated photos
  std::vector<signed char> staggers;  // tenths of a millimetre, at most 12.7 mm either way
};

StackFacts facts_of(const BatchEntry& entry);
const char* name_of(BatchVerdict verdict);
void count_in(const StackFacts& facts, BatchCounts& counts);

/// What a run was made from, so that shards can be told apart and joined.
struct RunFacts {
  std::string stacks_sha256;  // of the names of all stacks of the archive, whatever the shard
  std::string pack_sha256;    // of the usual definition
  Shard shard;
  std::vector<std::string> stacks;  // of the shard, by name
  std::vector<Unplaced> unplaced;   // of the whole archive
};

/// Reads the saved entries one after the other and writes results.jsonl, timings.jsonl,
/// failures.jsonl, summary.csv, index.html, findings.sarif and batch.json. Error:
/// output_unwritable.
Result<BatchCounts> write_outputs(const RunFacts& run, const std::filesystem::path& out);
/// Of a run that ended. Error: sheet_invalid.
Result<RunFacts> read_run(const std::filesystem::path& out);

std::string index_page(const std::vector<StackFacts>& stacks,
                       const std::vector<Unplaced>& unplaced);

}  // namespace plumbstack
