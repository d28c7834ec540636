#include "database.hpp"

#include <soci/postgresql/soci-postgresql.h>
#include <soci/sqlite3/soci-sqlite3.h>

#include <chrono>
#include <thread>

#include "schema.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr int kWaitSeconds = 30;  // for another writer

// Result codes of SQLite (sqlite.org/rescode.html); SOCI passes the primary one on.
enum SqliteCode {
  kBusy = 5,
  kLocked = 6,
  kReadOnly = 8,
  kIoError = 10,
  kCorrupt = 11,
  kFull = 13,
  kCantOpen = 14,
  kNotADatabase = 26
};

void connect(soci::session& sql, const StoreLocation& location) {
  if (location.postgresql) {
    sql.open(soci::postgresql, location.database);
    sql << "SET client_min_messages = error";  // libpq prints notices
    return;
  }
  // FULL: in write-ahead mode, too, a commit has reached the disk when it returns.
  sql.open(soci::sqlite3, "dbname=\"" + location.database +
                              "\" timeout=" + std::to_string(kWaitSeconds) + " synchronous=full");
}

bool has_tables(soci::session& sql, bool postgresql) {
  int count = 0;
  sql << (postgresql ? "SELECT count(*) FROM pg_tables WHERE schemaname = current_schema() AND "
                       "tablename = 'store_version'"
                     : "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = "
                       "'store_version'"),
      soci::into(count);
  return count != 0;
}

// Two programs may make the same store at once: in the transaction it is looked at again.
void make_tables(soci::session& sql, bool postgresql) {
  constexpr int kAnyKey = 20260302;
  if (!postgresql) sql << "PRAGMA journal_mode = WAL";
  sql << (postgresql ? "BEGIN" : "BEGIN IMMEDIATE");
  try {
    if (postgresql) {
      std::string nothing;
      sql << "SELECT CAST(pg_advisory_xact_lock(:key) AS TEXT)", soci::use(kAnyKey),
          soci::into(nothing);
    }
    if (!has_tables(sql, postgresql))
      for (const std::string& statement : schema_statements(postgresql)) sql << statement;
    sql << "COMMIT";
  } catch (const soci::soci_error&) {
    try {
      sql << "ROLLBACK";
    } catch (const soci::soci_error&) {
      // A full disk has rolled it back already; the first fault is the one to tell.
    }
    throw;
  }
}

// Opens the store and gives its version; nullopt where there is none and none is to be made.
std::optional<int> ready_version(soci::session& sql, const StoreLocation& location, bool create) {
  connect(sql, location);
  if (!has_tables(sql, location.postgresql)) {
    if (!create) return std::nullopt;
    make_tables(sql, location.postgresql);
  }
  int version = 0;
  sql << "SELECT version FROM store_version", soci::into(version);
  return version;
}

// SQLite does not wait while another program turns the file to write-ahead mode.
std::optional<int> ready_version_patiently(soci::session& sql, const StoreLocation& location,
                                           bool create) {
  for (int left = 100;; --left) {
    try {
      return ready_version(sql, location, create);
    } catch (const soci::sqlite3_soci_error& error) {
      const int code = error.result() & 0xFF;
      if (left == 0 || (code != kBusy && code != kLocked)) throw;
    }
    sql.close();
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

// In plain words: SQLite's own name the statement.
const char* why_unwritable(int code) {
  switch (code) {
    case kReadOnly: return "it may only be read";
    case kFull: return "the disk is full";
    case kIoError: return "the disk is full or broken";
    default: return "it can't be opened";
  }
}

Error sqlite_fault(int code, const std::string& why, const std::string& name) {
  switch (code) {
    case kBusy:
    case kLocked: return {ErrorCode::store_unusable, "is busy; try again", name};
    case kCorrupt:
    case kNotADatabase:
      return {ErrorCode::store_unusable, "is no job store, or is damaged (" + why + ")", name};
    case kReadOnly:
    case kIoError:
    case kFull:
    case kCantOpen:
      return {ErrorCode::output_unwritable,
              "can't be written (" + std::string(why_unwritable(code)) +
                  "); check the folder's permissions and the space left",
              name};
    default: return {ErrorCode::internal, "the database refused: " + why, name};
  }
}

std::string one_line(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < ' ') c = ' ';
  while (!text.empty() && text.back() == ' ') text.pop_back();
  return text;
}

Error postgresql_fault(const soci::postgresql_soci_error& error, const std::string& name) {
  const std::string why = one_line(error.get_error_message());
  const std::string state = error.sqlstate();
  // Classes of SQLSTATE: PostgreSQL documentation, appendix A.
  if (state.compare(0, 2, "53") == 0 || state.compare(0, 2, "58") == 0 || state == "25006")
    return {ErrorCode::output_unwritable, "can't be written (" + why + ")", name};
  if (error.get_error_category() == soci::soci_error::connection_error)
    return {ErrorCode::store_unusable, "can't be reached (" + why + ")", name};
  return {ErrorCode::internal, "the database refused: " + why, name};
}

}  // namespace

Result<std::unique_ptr<Database>> Database::open(const StoreLocation& location, bool create) {
  std::unique_ptr<Database> database(
      new Database(location.postgresql ? "the PostgreSQL store" : location.database));
  if (auto ready = database->prepare(location, create); !ready)
    return tl::unexpected(ready.error());
  return database;
}

Result<void> Database::prepare(const StoreLocation& location, bool create) {
  std::error_code error;
  const auto none = [&] {
    return fail(ErrorCode::store_unusable, "there is no job store; plumbstack job open makes one",
                name_);
  };
  if (!location.postgresql) {
    const fs::path file = location.database;
    if (!create && !fs::is_regular_file(file, error)) return none();
    if (create) fs::create_directories(file.parent_path(), error);
  }
  try {
    const auto version = ready_version_patiently(sql_, location, create);
    if (!version) return none();
    if (*version != kStoreVersion)
      return fail(ErrorCode::store_unusable,
                  "was written by a newer plumbstack (store version " + std::to_string(*version) +
                      ", this one knows " + std::to_string(kStoreVersion) + "); use that one",
                  name_);
  } catch (const soci::soci_error& fault) {
    return tl::unexpected(fault_of(fault));
  }
  return {};
}

Error Database::fault_of(const soci::soci_error& error) const {
  if (const auto* own = dynamic_cast<const soci::sqlite3_soci_error*>(&error))
    return sqlite_fault(own->result() & 0xFF, one_line(own->get_error_message()), name_);
  if (const auto* own = dynamic_cast<const soci::postgresql_soci_error*>(&error))
    return postgresql_fault(*own, name_);
  // SOCI tells some faults of a connection by the plain class.
  return {ErrorCode::store_unusable, "can't be used (" + one_line(error.get_error_message()) + ")",
          name_};
}

}  // namespace plumbstack
