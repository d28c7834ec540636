// A store of its own for each test: SQLite in a scratch folder, or, where the environment names a
// server, PostgreSQL in a schema of its own. The tests don't know which.
#pragma once

#include <gmock/gmock.h>
#include <soci/postgresql/soci-postgresql.h>
#include <soci/soci.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <cstdlib>

#include "../unit/job_fixture.hpp"
#include "files.hpp"
#include "plumbstack/job_store.hpp"

namespace plumbstack::test {

class StoreTest : public testing::Test {
 protected:
  StoreTest() {
    const char* server = std::getenv("PLUMBSTACK_TEST_POSTGRESQL");
    on_postgresql_ = server != nullptr;
    if (!on_postgresql_) {
      location_ = *store_location((scratch_.path() / "store").string(), {});
      return;
    }
    std::string schema = "t";  // as good as unique
    for (const char c : scratch_.path().extension().string().substr(1))
      schema += std::to_string(static_cast<int>(c));
    soci::session(soci::postgresql, server) << "CREATE SCHEMA " + schema;
    location_ = *store_location(std::string(server) + " options=-csearch_path=" + schema,
                                scratch_.path() / "files");
  }

  JobStore store() const {
    auto opened = JobStore::open(location_, true);
    if (!opened) throw std::runtime_error(opened.error().where + ": " + opened.error().message);
    return std::move(*opened);
  }

  /// The database as somebody sees it who goes behind the program's back.
  void behind_the_back(const std::vector<std::string>& statements) const {
    soci::session sql;
    if (on_postgresql_)
      sql.open(soci::postgresql, location_.database);
    else
      sql.open(soci::sqlite3, "dbname=\"" + location_.database + "\"");
    for (const std::string& statement : statements) sql << statement;
  }
  std::vector<std::string> unguarded(std::vector<std::string> statements) const {
    std::vector<std::string> drop =
        on_postgresql_
            ? std::vector<std::string>{"DROP TRIGGER entries_stay ON entries"}
            : std::vector<std::string>{"DROP TRIGGER entries_stay", "DROP TRIGGER entries_last"};
    drop.insert(drop.end(), statements.begin(), statements.end());
    return drop;
  }

  ScratchFolder scratch_;
  bool on_postgresql_ = false;
  StoreLocation location_;
};

constexpr const char* kAt = "2026-03-02T07:00:00Z";
constexpr const char* kBy = "M. Fennel";

/// What the fact says, whatever the job.
inline JobStore::Decide always(Fact fact) {
  return [fact](const std::vector<JobEntry>&) -> Result<Fact> { return fact; };
}

/// Opens a job and appends what the row holds after its first entry; the files of the row are kept.
inline void write_row(JobStore& store, const std::string& number, const Row& row) {
  for (const JobEntry& entry : row.entries)
    for (const KeptFile& file : files_of(entry.fact))
      ASSERT_TRUE(store.files().keep(file.name, file.name));
  ASSERT_TRUE(store.open_job(number, std::get<Opened>(row.entries[0].fact), kBy, kAt));
  for (std::size_t i = 1; i < row.entries.size(); ++i) {
    const auto done = store.append(number, row.entries[i].by, kAt, always(row.entries[i].fact));
    ASSERT_TRUE(done) << i << ": " << done.error().message;
  }
}

}  // namespace plumbstack::test
