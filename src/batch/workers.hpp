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
  std::string
      lost;  // how it was lost: its process ended or took too long; empty = it came to its end
};

struct Jobs {
  std::size_t count = 0;
  /// Runs in a worker. An error means that no other job is worth trying.
  std::function<Result<void>(std::size_t)> work;
  std::function<std::chrono::milliseconds(std::size_t)> limit;
  /// Runs here, after each job.
  std::function<void(const JobEnd&)> ended;
  /// Runs here about once a second.
  std::function<void()> idle;
};

/// Does all jobs in `workers` processes; a job that takes longer than its limit, or brings its
/// process down, is lost, and another process goes on with the next. Ends early, with the jobs at
/// hand, when `stop` is set or a job gave an error, which is given back. Call it from a process
/// with one thread.
Result<void> run_in_workers(int workers, const Jobs& jobs, const std::atomic<bool>& stop);

}  // namespace plumbstack
