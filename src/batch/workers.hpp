// Processes that do jobs one after the other, told by a number which.
#pragma once

#include <atomic>
#include <chrono>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct JobEnd {
  std::size_t job = 0;
  // how it was lost: its process ended or took too long, or an error that is bearable; empty = it
  // came to its end
  std::string lost;
  bool by_error = false;  // lost by an error that is bearable
};

struct Jobs {
  /// How many there are by now; it never falls.
  std::function<std::size_t()> count;
  /// Whether more of them may come; absent = no.
  std::function<bool()> more_to_come = {};
  /// Runs in a worker, which knows what was known here when it was started: never later than
  /// `count` told of the job. An error means that no other job is worth trying.
  std::function<Result<void>(std::size_t)> work;
  /// Whether an error costs its own job only; absent = none does.
  std::function<bool(const Error&)> bearable = {};
  std::function<std::chrono::milliseconds(std::size_t)> limit;
  /// Runs here, after each job.
  std::function<void(const JobEnd&)> ended;
  /// Runs here a few times a second.
  std::function<void()> idle;
};

/// Does all jobs in `workers` processes; a job that takes longer than its limit, or brings its
/// process down, is lost, and another process goes on with the next. A process that has no more to
/// do is ended. Ends early, with the jobs at hand, when `stop` is set or a job gave an error, which
/// is given back. Call it from a process with one thread.
Result<void> run_in_workers(int workers, const Jobs& jobs, const std::atomic<bool>& stop);

}  // namespace plumbstack
