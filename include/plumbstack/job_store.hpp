// Where jobs are kept: entries in a database (one SQLite file, or PostgreSQL), photos and other
// files by the hash of their bytes in a folder beside it.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plumbstack/job_state.hpp"

namespace plumbstack {

/// Files by content. A file is complete under its name or not there at all, also after a loss of
/// power.
class KeptFiles {
 public:
  explicit KeptFiles(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// Writes what is not there yet; one that is there but damaged is written anew.
  /// Error: output_unwritable.
  Result<KeptFile> keep(const std::string& name, std::string_view bytes) const;
  /// Error: record_damaged, where the file is missing or its bytes are others.
  Result<std::string> bytes_of(const KeptFile& file) const;
  std::filesystem::path path_of(const KeptFile& file) const;

 private:
  std::filesystem::path folder_;
};

struct StoreLocation {
  std::string database;  // SQLite file, or a PostgreSQL connection string (or URI)
  bool postgresql = false;
  std::filesystem::path files;  // folder of the kept files
};

/// A folder holds both; for a connection string (it begins with postgresql:// or postgres://, or
/// holds dbname=) the folder of the files must be named. Error: usage.
Result<StoreLocation> store_location(const std::string& store, const std::filesystem::path& files);

/// All that are given must hold; "" and 0 ask for nothing.
struct JobQuery {
  std::string serial;    // of a module that is or was in the pack
  int number = 0;        // sequence number of a module
  std::string finding;   // code of any finding in the job's results: "number.order"
  std::string pack;      // id
  std::string verdict;   // as name_of(JobVerdict) gives it
  std::string standing;  // "open", "closed" or "abandoned"
  std::string from, to;  // day opened, UTC, inclusive: "2026-11-28"
};

struct FoundJob {
  std::string number, pack, opened_at, standing, verdict;
  std::vector<JobModule> modules;  // those that the query asked for
};

/// What of a job is as it was written.
struct Inspection {
  std::vector<JobEntry> entries;  // as far as the chain holds, at least the first
  std::string head;               // hash of the last of them
  std::optional<Error> fault;     // record_damaged: the first in chain, files and index
};

class Database;

class JobStore {
 public:
  /// @param create makes the store where there is none
  /// Errors: store_unusable, output_unwritable.
  static Result<JobStore> open(const StoreLocation& location, bool create);
  JobStore(JobStore&&) noexcept;
  ~JobStore();

  /// Error: job_refused, where the number is taken.
  Result<SealedEntry> open_job(const std::string& number, const Opened& opened,
                               const std::string& by, const std::string& at);

  /// What to write, decided on the job as it is while nobody else can write to it.
  using Decide = std::function<Result<Fact>(const std::vector<JobEntry>&)>;
  /// On return the entry is on the disk. Nothing is appended to a record that does not verify, nor
  /// to a closed job. Errors: job_unknown, job_refused, record_damaged, output_unwritable and what
  /// `decide` gives.
  Result<SealedEntry> append(const std::string& number, const std::string& by,
                             const std::string& at, const Decide& decide);

  /// Errors: job_unknown, record_damaged.
  Result<std::vector<SealedEntry>> sealed_entries(const std::string& number) const;
  /// The same, once the chain holds.
  Result<std::vector<JobEntry>> entries(const std::string& number) const;

  /// The chain, every file it names, and what is said of the job in the index. Errors: job_unknown;
  /// record_damaged, where not even the first entry holds; store_unusable (a newer program wrote
  /// it).
  Result<Inspection> inspect(const std::string& number) const;

  /// The same. @return the hash of its last entry. Error also: record_damaged, where anything is.
  Result<std::string> verify(const std::string& number) const;

  /// Every job, in the order of their numbers.
  Result<std::vector<std::string>> numbers() const;
  /// Whether SQLite's own pages and indexes hold: a damaged index hides a job from `find`. Of
  /// PostgreSQL nothing is asked. Error: record_damaged.
  Result<void> check_database() const;

  /// By day of opening, latest first. @param most how many at most
  Result<std::vector<FoundJob>> find(const JobQuery& query, int most) const;

  /// Takes in whole jobs of another store, all or none; their files must be kept already. Errors:
  /// job_refused, where a number or a photo is taken; record_damaged.
  Result<void> take_in(const std::vector<std::vector<SealedEntry>>& jobs);

  const KeptFiles& files() const { return files_; }

 private:
  JobStore(std::unique_ptr<Database> database, KeptFiles files);
  std::unique_ptr<Database> database_;
  KeptFiles files_;
};

}  // namespace plumbstack
