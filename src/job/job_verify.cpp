// Three things are held against each other: the chain of entries, the files that they name, and the
// index in which `find` looks.
#include <algorithm>
#include <tuple>

#include "database.hpp"
#include "job_rows.hpp"

namespace plumbstack {
namespace {

struct Seen {
  ChainRead chain;
  std::string head;  // of the entries that hold
  JobIndex index;
};

Result<Seen> read_all(soci::session& sql, const std::string& number) {
  const auto job = read_job(sql, number);
  if (!job) return tl::unexpected(job.error());
  Seen seen{read_chain(number, job->entries, job->head), kNoEntry, read_index(sql, number)};
  const std::size_t good = seen.chain.entries.size();
  if (good > 0) seen.head = job->entries[good - 1].hash;
  return seen;
}

// Rows have no order of their own.
JobIndex in_order(JobIndex index) {
  std::sort(index.modules.begin(), index.modules.end(), [](const auto& a, const auto& b) {
    return std::tie(a.slot, a.serial, a.number) < std::tie(b.slot, b.serial, b.number);
  });
  std::sort(index.codes.begin(), index.codes.end());
  return index;
}

std::optional<Error> fault_of_files(const KeptFiles& files, const std::vector<JobEntry>& entries) {
  for (const JobEntry& entry : entries)
    for (const KeptFile& file : files_of(entry.fact))
      if (const auto bytes = files.bytes_of(file); !bytes)
        return Error{bytes.error().code, bytes.error().where + " " + bytes.error().message,
                     "job " + entry.job + ", entry " + std::to_string(entry.place)};
  return std::nullopt;
}

}  // namespace

Result<Inspection> JobStore::inspect(const std::string& number) const {
  auto seen = database_->in_transaction([&](soci::session& sql) { return read_all(sql, number); });
  if (!seen) return tl::unexpected(seen.error());
  ChainRead& chain = seen->chain;
  if (chain.fault && (chain.entries.empty() || chain.fault->code != ErrorCode::record_damaged))
    return tl::unexpected(*chain.fault);
  if (!chain.fault) chain.fault = fault_of_files(files_, chain.entries);
  if (!chain.fault && in_order(seen->index) != in_order(index_of(chain.entries)))
    chain.fault = Error{ErrorCode::record_damaged, "the index says something else than the entries",
                        "job " + number};
  return Inspection{std::move(chain.entries), seen->head, std::move(chain.fault)};
}

Result<void> JobStore::check_database() const {
  return database_->in_transaction([](soci::session& sql) -> Result<void> {
    if (sql.get_backend_name() != "sqlite3") return {};
    std::string answer;
    sql << "PRAGMA integrity_check(1)", soci::into(answer);
    if (answer == "ok") return {};
    return fail(ErrorCode::record_damaged, "the database is damaged: " + answer,
                "the store of jobs");
  });
}

Result<std::string> JobStore::verify(const std::string& number) const {
  const auto seen = inspect(number);
  if (!seen) return tl::unexpected(seen.error());
  if (seen->fault) return tl::unexpected(*seen->fault);
  return seen->head;
}

}  // namespace plumbstack
