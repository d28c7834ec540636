// Three things are held against each other: the chain of entries, the files that they name, and the
// index in which `find` looks.
#include <algorithm>
#include <tuple>

#include "database.hpp"
#include "job_rows.hpp"

namespace plumbstack {
namespace {

struct Seen {
  std::vector<JobEntry> entries;
  std::string head;
  JobIndex index;
};

Result<Seen> read_all(soci::session& sql, const std::string& number) {
  const auto job = read_job(sql, number);
  if (!job) return tl::unexpected(job.error());
  auto entries = unsealed(number, job->entries, job->head);
  if (!entries) return tl::unexpected(entries.error());
  return Seen{std::move(*entries), job->head, read_index(sql, number)};
}

// Rows have no order of their own.
JobIndex in_order(JobIndex index) {
  std::sort(index.modules.begin(), index.modules.end(), [](const auto& a, const auto& b) {
    return std::tie(a.slot, a.serial, a.number) < std::tie(b.slot, b.serial, b.number);
  });
  std::sort(index.codes.begin(), index.codes.end());
  return index;
}

}  // namespace

Result<std::string> JobStore::verify(const std::string& number) const {
  const auto seen =
      database_->in_transaction([&](soci::session& sql) { return read_all(sql, number); });
  if (!seen) return tl::unexpected(seen.error());
  for (const JobEntry& entry : seen->entries)
    for (const KeptFile& file : files_of(entry.fact))
      if (const auto bytes = files_.bytes_of(file); !bytes)
        return fail(bytes.error().code, bytes.error().where + " " + bytes.error().message,
                    "job " + number + ", entry " + std::to_string(entry.place));
  if (in_order(seen->index) != in_order(index_of(seen->entries)))
    return fail(ErrorCode::record_damaged, "the index says something else than the entries",
                "job " + number);
  return seen->head;
}

}  // namespace plumbstack
