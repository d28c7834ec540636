#include "job_rows.hpp"

#include <set>

namespace plumbstack {
namespace {

using soci::into;
using soci::use;

tl::unexpected<Error> unknown(const std::string& number) {
  return fail(ErrorCode::job_unknown, "there is no such job; see plumbstack job find",
              "job " + number);
}

void write_modules(soci::session& sql, const std::string& job,
                   const std::vector<JobModule>& modules) {
  sql << "DELETE FROM modules WHERE job = :job", use(job);
  int slot = 0, number = 0;
  std::string serial, place;
  soci::statement insert = (sql.prepare << "INSERT INTO modules (job, slot, number, serial, place) "
                                           "VALUES (:job, :slot, :number, :serial, :place)",
                            use(job), use(slot), use(number), use(serial), use(place));
  for (const JobModule& one : modules) {
    // SOCI reads them when it executes.
    slot = one.slot;      // NOLINT(clang-analyzer-deadcode.DeadStores)
    number = one.number;  // NOLINT(clang-analyzer-deadcode.DeadStores)
    serial = one.serial;
    place = name_of(one.place);
    insert.execute(true);
  }
}

void write_codes(soci::session& sql, const std::string& job,
                 const std::vector<std::string>& codes) {
  sql << "DELETE FROM findings WHERE job = :job", use(job);
  for (const std::string& code : codes)
    sql << "INSERT INTO findings (job, code) VALUES (:job, :code)", use(job), use(code);
}

}  // namespace

Result<StoredJob> read_job(soci::session& sql, const std::string& number) {
  StoredJob job;
  SealedEntry entry;
  soci::statement rows =
      (sql.prepare << "SELECT e.place, e.text, e.hash, j.head FROM jobs j "
                      "JOIN entries e ON e.job = j.number WHERE j.number = :number "
                      "ORDER BY e.place",
       use(number), into(entry.place), into(entry.text), into(entry.hash), into(job.head));
  rows.execute();
  while (rows.fetch()) job.entries.push_back(entry);
  if (!job.entries.empty()) return job;
  // A job whose entries are all gone is no unknown job.
  soci::indicator there = soci::i_null;
  sql << "SELECT head FROM jobs WHERE number = :number", use(number), into(job.head, there);
  if (!sql.got_data()) return unknown(number);
  return job;
}

Result<void> lock_job(soci::session& sql, const std::string& number) {
  soci::statement lock =
      (sql.prepare << "UPDATE jobs SET entries = entries WHERE number = :number", use(number));
  lock.execute(true);
  if (lock.get_affected_rows() == 0) return unknown(number);
  return {};
}

void write_entry(soci::session& sql, const std::string& number, const SealedEntry& entry) {
  sql << "INSERT INTO entries (job, place, hash, text) VALUES (:job, :place, :hash, :text)",
      use(number), use(entry.place), use(entry.hash), use(entry.text);
  sql << "UPDATE jobs SET entries = :place, head = :head WHERE number = :number", use(entry.place),
      use(entry.hash), use(number);
}

JobIndex index_of(const std::vector<JobEntry>& entries) {
  const JobState state = job_state(entries);
  std::set<std::string> codes;
  for (const JobEntry& entry : entries)
    if (const auto* result = std::get_if<ResultAttached>(&entry.fact))
      for (const ResultFinding& finding : result->findings) codes.insert(finding.code);
  const char* standing = state.closed_at.empty()   ? "open"
                         : state.abandoned.empty() ? "closed"
                                                   : "abandoned";
  return {state.opened.pack_id,           state.opened_at, standing,
          name_of(state.verdict.verdict), state.modules,   {codes.begin(), codes.end()}};
}

void write_index(soci::session& sql, const std::string& number, const JobIndex& index,
                 const JobIndex& before) {
  sql << "UPDATE jobs SET pack = :pack, opened_at = :opened, standing = :standing, "
         "verdict = :verdict WHERE number = :number",
      use(index.pack), use(index.opened_at), use(index.standing), use(index.verdict), use(number);
  if (index.modules != before.modules) write_modules(sql, number, index.modules);
  if (index.codes != before.codes) write_codes(sql, number, index.codes);
}

JobIndex read_index(soci::session& sql, const std::string& number) {
  JobIndex index;
  sql << "SELECT pack, opened_at, standing, verdict FROM jobs WHERE number = :number", use(number),
      into(index.pack), into(index.opened_at), into(index.standing), into(index.verdict);
  JobModule module;
  std::string place, code;
  soci::statement modules =
      (sql.prepare << "SELECT slot, number, serial, place FROM modules WHERE job = :job",
       use(number), into(module.slot), into(module.number), into(module.serial), into(place));
  modules.execute();
  while (modules.fetch()) {
    module.place = module_place(place);
    index.modules.push_back(module);
  }
  soci::statement codes =
      (sql.prepare << "SELECT code FROM findings WHERE job = :job", use(number), into(code));
  codes.execute();
  while (codes.fetch()) index.codes.push_back(code);
  return index;
}

std::vector<PhotoUse> photos_of(const Fact& fact) {
  std::vector<PhotoUse> photos;
  if (const auto* photo = std::get_if<PhotoAttached>(&fact))
    photos.push_back({photo->file, photo->shows});
  if (const auto* result = std::get_if<ResultAttached>(&fact))
    for (const ResultPhoto& photo : result->photos) photos.push_back({photo.file, photo.side});
  return photos;
}

Result<void> claim_photos(soci::session& sql, const std::string& number, const Fact& fact) {
  for (const PhotoUse& photo : photos_of(fact)) {
    sql << "INSERT INTO photos (sha256, job, shows) VALUES (:sha, :job, :shows) "
           "ON CONFLICT DO NOTHING",
        use(photo.file.sha256), use(number), use(photo.shows);
    std::string job, shows;
    sql << "SELECT job, shows FROM photos WHERE sha256 = :sha", use(photo.file.sha256), into(job),
        into(shows);
    if (job != number)
      return fail(ErrorCode::job_refused,
                  "serves job " + job + " already; a photo shows one pack only", photo.file.name);
    if (shows != photo.shows)
      return fail(ErrorCode::job_refused,
                  "is there already as " + shows + "; it can't be " + photo.shows + " too",
                  photo.file.name);
  }
  return {};
}

}  // namespace plumbstack
