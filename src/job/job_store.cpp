#include "plumbstack/job_store.hpp"

#include <algorithm>

#include "database.hpp"
#include "job_rows.hpp"
#include "state_parts.hpp"

namespace plumbstack {
namespace {

using soci::use;

bool starts_with(const std::string& text, const char* with) {
  return text.rfind(with, 0) == 0;
}

// A stack that was taken apart or came into doubt since can't be shown by a photo from before.
Result<void> refuse_stale_photos(const std::vector<JobEntry>& entries, const Fact& fact) {
  const int doubted = last_doubted(with_corrections(entries));
  for (const PhotoUse& photo : photos_of(fact))
    for (const JobEntry& entry : entries)
      for (const PhotoUse& before : photos_of(entry.fact))
        if (before.file.sha256 == photo.file.sha256 && entry.place < doubted)
          return fail(ErrorCode::job_refused,
                      "is from before the stack was touched or came into doubt (entry " +
                          std::to_string(doubted) + "); photograph it again",
                      photo.file.name);
  return {};
}

Result<std::vector<JobEntry>> entries_of(soci::session& sql, const std::string& number) {
  const auto job = read_job(sql, number);
  if (!job) return tl::unexpected(job.error());
  return unsealed(number, job->entries, job->head);
}

Result<void> refuse_closed(const std::vector<JobEntry>& entries, const std::string& number) {
  if (!std::holds_alternative<Closed>(entries.back().fact)) return {};
  return fail(ErrorCode::job_refused,
              "was closed " + entries.back().at + "; what follows belongs to a new job",
              "job " + number);
}

struct Append {
  const std::string &number, &by, &at;
  const JobStore::Decide& decide;

  Result<SealedEntry> operator()(soci::session& sql) const {
    if (auto locked = lock_job(sql, number); !locked) return tl::unexpected(locked.error());
    const auto job = read_job(sql, number);
    if (!job) return tl::unexpected(job.error());
    auto entries = unsealed(number, job->entries, job->head);
    if (!entries) return tl::unexpected(entries.error());
    if (auto open = refuse_closed(*entries, number); !open) return tl::unexpected(open.error());
    auto fact = decide(*entries);
    if (!fact) {
      if (fact.error().where.empty()) fact.error().where = "job " + number;
      return tl::unexpected(fact.error());
    }
    if (auto fresh = refuse_stale_photos(*entries, *fact); !fresh)
      return tl::unexpected(fresh.error());
    if (auto claimed = claim_photos(sql, number, *fact); !claimed)
      return tl::unexpected(claimed.error());
    const JobIndex before = index_of(*entries);
    entries->push_back({number, static_cast<int>(entries->size()) + 1, at, by, std::move(*fact)});
    auto sealed = seal(entries->back(), job->head);
    if (!sealed) return sealed;
    write_entry(sql, number, *sealed);
    write_index(sql, number, index_of(*entries), before);
    return sealed;
  }
};

// The row of a new job, empty yet. Error: job_refused.
Result<void> insert_job(soci::session& sql, const std::string& number) {
  const std::string nothing;
  soci::statement insert =
      (sql.prepare
           << "INSERT INTO jobs (number, pack, opened_at, standing, verdict, entries, head) "
              "VALUES (:number, '', '', '', '', 0, :head) ON CONFLICT DO NOTHING",
       use(number), use(nothing));
  insert.execute(true);
  if (insert.get_affected_rows() == 1) return {};
  return fail(ErrorCode::job_refused, "is there already; choose another number", "job " + number);
}

// All entries of one job of another store.
Result<void> insert_whole(soci::session& sql, const std::vector<SealedEntry>& sealed) {
  if (sealed.empty()) return fail(ErrorCode::record_damaged, "the job has no entries");
  const auto first = parse_entry(sealed.front().text);
  if (!first) return tl::unexpected(first.error());
  const std::string& number = first->job;
  const auto entries = unsealed(number, sealed, sealed.back().hash);
  if (!entries) return tl::unexpected(entries.error());
  if (auto made = insert_job(sql, number); !made) return made;
  for (const JobEntry& entry : *entries)
    if (auto claimed = claim_photos(sql, number, entry.fact); !claimed) return claimed;
  for (const SealedEntry& entry : sealed) write_entry(sql, number, entry);
  write_index(sql, number, index_of(*entries), {});
  return {};
}

}  // namespace

Result<StoreLocation> store_location(const std::string& store, const std::filesystem::path& files) {
  if (store.empty())
    return fail(ErrorCode::usage, "no store given; name one with --store or $PLUMBSTACK_STORE");
  if (starts_with(store, "postgresql://") || starts_with(store, "postgres://") ||
      store.find("dbname=") != std::string::npos) {
    if (files.empty())
      return fail(ErrorCode::usage,
                  "with PostgreSQL the folder of the photos is needed too; name it with --files or "
                  "$PLUMBSTACK_FILES");
    return StoreLocation{store, true, files};
  }
  if (store.find('"') != std::string::npos)
    return fail(ErrorCode::usage, "a store's path can't hold a quotation mark", store);
  const std::filesystem::path folder = store;
  return StoreLocation{(folder / "jobs.sqlite").string(), false,
                       files.empty() ? folder / "files" : files};
}

JobStore::JobStore(std::unique_ptr<Database> database, KeptFiles files)
    : database_(std::move(database)), files_(std::move(files)) {}
JobStore::JobStore(JobStore&&) noexcept = default;
JobStore::~JobStore() = default;

Result<JobStore> JobStore::open(const StoreLocation& location, bool create) {
  auto database = Database::open(location, create);
  if (!database) return tl::unexpected(database.error());
  return JobStore(std::move(*database), KeptFiles(location.files));
}

Result<SealedEntry> JobStore::open_job(const std::string& number, const Opened& opened,
                                       const std::string& by, const std::string& at) {
  const JobEntry first{number, 1, at, by, opened};
  auto sealed = seal(first, kNoEntry);
  if (!sealed) return sealed;
  return database_->in_transaction([&](soci::session& sql) -> Result<SealedEntry> {
    if (auto made = insert_job(sql, number); !made) return tl::unexpected(made.error());
    write_entry(sql, number, *sealed);
    write_index(sql, number, index_of({first}), {});
    return sealed;
  });
}

Result<SealedEntry> JobStore::append(const std::string& number, const std::string& by,
                                     const std::string& at, const Decide& decide) {
  return database_->in_transaction(Append{number, by, at, decide});
}

Result<std::vector<SealedEntry>> JobStore::sealed_entries(const std::string& number) const {
  return database_->in_transaction([&](soci::session& sql) -> Result<std::vector<SealedEntry>> {
    const auto job = read_job(sql, number);
    if (!job) return tl::unexpected(job.error());
    const auto good = unsealed(number, job->entries, job->head);
    if (!good) return tl::unexpected(good.error());
    return job->entries;
  });
}

Result<std::vector<JobEntry>> JobStore::entries(const std::string& number) const {
  return database_->in_transaction([&](soci::session& sql) { return entries_of(sql, number); });
}

Result<void> JobStore::take_in(const std::vector<std::vector<SealedEntry>>& jobs) {
  return database_->in_transaction([&](soci::session& sql) -> Result<void> {
    for (const std::vector<SealedEntry>& job : jobs)
      if (auto done = insert_whole(sql, job); !done) return done;
    return {};
  });
}

}  // namespace plumbstack
