// The rows of one job in the database: all inside a transaction that the caller has opened.
#pragma once

#include <soci/soci.h>

#include "plumbstack/job_store.hpp"

namespace plumbstack {

struct StoredJob {
  std::vector<SealedEntry> entries;
  std::string head;
};

/// In one statement, so that it is one moment of the job. Error: job_unknown.
Result<StoredJob> read_job(soci::session& sql, const std::string& number);

/// Keeps every other writer away from this job until the end of the transaction. Error:
/// job_unknown.
Result<void> lock_job(soci::session& sql, const std::string& number);

void write_entry(soci::session& sql, const std::string& number, const SealedEntry& entry);

/// What `find` looks in, for a job as it now stands.
struct JobIndex {
  std::string pack, opened_at, standing, verdict;
  std::vector<JobModule> modules;
  std::vector<std::string> codes;  // of findings, each once, sorted
  bool operator==(const JobIndex&) const = default;
};
JobIndex index_of(const std::vector<JobEntry>& entries);
void write_index(soci::session& sql, const std::string& number, const JobIndex& index,
                 const JobIndex& before);
JobIndex read_index(soci::session& sql, const std::string& number);

/// A photo and what it serves for in its job.
struct PhotoUse {
  KeptFile file;
  std::string shows;
};
std::vector<PhotoUse> photos_of(const Fact& fact);

/// Error: job_refused, where a photo serves another job or shows something else already.
Result<void> claim_photos(soci::session& sql, const std::string& number, const Fact& fact);

}  // namespace plumbstack
