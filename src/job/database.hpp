// The connection, its tables and its faults. The statements are the same for SQLite and PostgreSQL;
// what differs is in `Dialect`.
#pragma once

#include <soci/soci.h>

#include <memory>
#include <string>

#include "plumbstack/job_store.hpp"

namespace plumbstack {

class Database {
 public:
  static Result<std::unique_ptr<Database>> open(const StoreLocation& location, bool create);

  /// Runs `work` in a transaction: committed where it gives a value, else as if nothing had been.
  template <typename Work>
  auto in_transaction(const Work& work) -> decltype(work(std::declval<soci::session&>())) {
    try {
      soci::transaction transaction(sql_);
      auto done = work(sql_);
      if (done) transaction.commit();
      return done;
    } catch (const soci::soci_error& error) {
      return tl::unexpected(fault_of(error));
    }
  }

  /// What the database's own fault means to the user.
  Error fault_of(const soci::soci_error& error) const;

 private:
  explicit Database(std::string name) : name_(std::move(name)) {}
  Result<void> prepare(const StoreLocation& location, bool create);

  std::string name_;  // in messages: never a connection string, which may hold a password
  soci::session sql_;
};

}  // namespace plumbstack
