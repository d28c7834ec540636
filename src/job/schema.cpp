#include "schema.hpp"

namespace plumbstack {
namespace {

const std::vector<std::string> kTables = {
    "CREATE TABLE store_version (version INTEGER NOT NULL)",
    // No comma is missing: long statements go over lines.
    // NOLINTNEXTLINE(bugprone-suspicious-missing-comma)
    "CREATE TABLE jobs (number TEXT PRIMARY KEY, pack TEXT NOT NULL, opened_at TEXT NOT NULL, "
    "standing TEXT NOT NULL, verdict TEXT NOT NULL, entries INTEGER NOT NULL, head TEXT NOT NULL)",
    "CREATE TABLE entries (job TEXT NOT NULL REFERENCES jobs (number), place INTEGER NOT NULL, "
    "hash TEXT NOT NULL, text TEXT NOT NULL, PRIMARY KEY (job, place))",
    "CREATE TABLE photos (sha256 TEXT PRIMARY KEY, job TEXT NOT NULL, shows TEXT NOT NULL)",
    "CREATE TABLE modules (job TEXT NOT NULL, slot INTEGER NOT NULL, number INTEGER NOT NULL, "
    "serial TEXT NOT NULL, place TEXT NOT NULL)",
    "CREATE TABLE findings (job TEXT NOT NULL, code TEXT NOT NULL)",
    "CREATE INDEX jobs_by_day ON jobs (opened_at)",
    "CREATE INDEX jobs_by_pack ON jobs (pack, opened_at)",
    "CREATE INDEX jobs_by_verdict ON jobs (verdict, opened_at)",
    "CREATE INDEX photos_by_job ON photos (job)",
    "CREATE INDEX modules_by_serial ON modules (serial)",
    "CREATE INDEX modules_by_number ON modules (number, job)",
    "CREATE INDEX modules_by_job ON modules (job)",
    "CREATE INDEX findings_by_code ON findings (code, job)",
    "CREATE INDEX findings_by_job ON findings (job)",
    "INSERT INTO store_version (version) VALUES (" + std::to_string(kStoreVersion) + ")"};

// Against slips, not against malice: for that there is the chain.
const std::vector<std::string> kGuardSqlite = {
    "CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN "
    "SELECT RAISE(ABORT, 'an entry is never changed'); END",
    "CREATE TRIGGER entries_last BEFORE DELETE ON entries BEGIN "
    "SELECT RAISE(ABORT, 'an entry is never taken out'); END"};
const std::vector<std::string> kGuardPostgresql = {
    "CREATE FUNCTION entry_stays() RETURNS trigger LANGUAGE plpgsql AS "
    "'BEGIN RAISE EXCEPTION ''an entry is never changed nor taken out''; END'",
    "CREATE TRIGGER entries_stay BEFORE UPDATE OR DELETE ON entries "
    "FOR EACH ROW EXECUTE FUNCTION entry_stays()"};

}  // namespace

std::vector<std::string> schema_statements(bool postgresql) {
  std::vector<std::string> statements = kTables;
  const auto& guard = postgresql ? kGuardPostgresql : kGuardSqlite;
  statements.insert(statements.end(), guard.begin(), guard.end());
  return statements;
}

}  // namespace plumbstack
