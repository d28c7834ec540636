#include <list>

#include "database.hpp"
#include "job_rows.hpp"

namespace plumbstack {
namespace {

using soci::into;
using soci::use;

// Conditions, each with the value that is bound to it by name.
class Where {
 public:
  void text(const std::string& condition, const char* name, const std::string& value) {
    if (value.empty()) return;
    add(condition);
    texts_.push_back(value);
    statement_.exchange(use(texts_.back(), name));
  }
  void whole(const std::string& condition, const char* name, int value) {
    if (value == 0) return;
    add(condition);
    wholes_.push_back(value);
    statement_.exchange(use(wholes_.back(), name));
  }
  explicit Where(soci::session& sql) : statement_(sql) {}
  std::string conditions() const { return conditions_; }
  soci::statement& statement() { return statement_; }

 private:
  void add(const std::string& condition) {
    conditions_ += (conditions_.empty() ? " WHERE " : " AND ") + condition;
  }
  soci::statement statement_;
  std::string conditions_;
  std::list<std::string> texts_;  // a list: what is bound must not move
  std::list<int> wholes_;
};

// A serial and a sequence number asked for together are of the same module.
std::string module_condition(const JobQuery& query) {
  std::string both;
  if (!query.serial.empty()) both += " AND m.serial = :serial";
  if (query.number != 0) both += " AND m.number = :module_number";
  return both;
}

std::vector<FoundJob> jobs_that(soci::session& sql, const JobQuery& query, int most) {
  Where where(sql);
  const std::string modules =
      "j.number IN (SELECT m.job FROM modules m WHERE 1 = 1" + module_condition(query) + ")";
  // One condition for both, since it is one module.
  if (!query.serial.empty()) where.text(modules, "serial", query.serial);
  if (query.number != 0)
    where.whole(query.serial.empty() ? modules : "1 = 1", "module_number", query.number);
  where.text("j.number IN (SELECT f.job FROM findings f WHERE f.code = :finding)", "finding",
             query.finding);
  where.text("j.pack = :pack", "pack", query.pack);
  where.text("j.verdict = :verdict", "verdict", query.verdict);
  where.text("j.standing = :standing", "standing", query.standing);
  where.text("j.opened_at >= :day_from", "day_from", query.from);
  // Every time of a day begins with the day and sorts before the day and "U" (after "T").
  where.text("j.opened_at < :day_to", "day_to", query.to.empty() ? "" : query.to + "U");
  FoundJob row;
  soci::statement& rows = where.statement();
  rows.exchange(into(row.number));
  rows.exchange(into(row.pack));
  rows.exchange(into(row.opened_at));
  rows.exchange(into(row.standing));
  rows.exchange(into(row.verdict));
  rows.alloc();
  rows.prepare("SELECT j.number, j.pack, j.opened_at, j.standing, j.verdict FROM jobs j" +
               where.conditions() + " ORDER BY j.opened_at DESC, j.number LIMIT " +
               std::to_string(most));
  rows.define_and_bind();
  rows.execute();
  std::vector<FoundJob> found;
  while (rows.fetch()) found.push_back(row);
  return found;
}

bool asked_for(const JobQuery& query, const JobModule& module) {
  return (query.serial.empty() || module.serial == query.serial) &&
         (query.number == 0 || module.number == query.number);
}

}  // namespace

Result<std::vector<FoundJob>> JobStore::find(const JobQuery& query, int most) const {
  return database_->in_transaction([&](soci::session& sql) -> Result<std::vector<FoundJob>> {
    std::vector<FoundJob> found = jobs_that(sql, query, most);
    if (query.serial.empty() && query.number == 0) return found;
    for (FoundJob& job : found)
      for (const JobModule& module : read_index(sql, job.number).modules)
        if (asked_for(query, module)) job.modules.push_back(module);
    return found;
  });
}

Result<std::vector<std::string>> JobStore::numbers() const {
  return database_->in_transaction([&](soci::session& sql) -> Result<std::vector<std::string>> {
    std::vector<std::string> all;
    std::string number;
    soci::statement rows = (sql.prepare << "SELECT number FROM jobs ORDER BY number", into(number));
    rows.execute();
    while (rows.fetch()) all.push_back(number);
    return all;
  });
}

}  // namespace plumbstack
