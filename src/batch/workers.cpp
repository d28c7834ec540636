#include "workers.hpp"

#include <fcntl.h>
#include <omp.h>
#include <poll.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <opencv2/core/utility.hpp>
#include <optional>
#include <vector>

namespace plumbstack {
namespace {

using Clock = std::chrono::steady_clock;
using Number = std::uint64_t;

// How a worker answers: an error code, 0 for none, and then the error's two texts.
struct Answer {
  int code = 0;
  std::uint32_t message = 0, where = 0;  // bytes
};

bool read_all(int from, void* bytes, std::size_t size) {
  for (std::size_t have = 0; have < size;) {
    const ssize_t n = ::read(from, static_cast<char*>(bytes) + have, size - have);
    if (n > 0)
      have += static_cast<std::size_t>(n);
    else if (n == 0 || errno != EINTR)
      return false;
  }
  return true;
}

bool write_all(int to, const void* bytes, std::size_t size) {
  for (std::size_t done = 0; done < size;) {
    const ssize_t n = ::send(to, static_cast<const char*>(bytes) + done, size - done, MSG_NOSIGNAL);
    if (n > 0)
      done += static_cast<std::size_t>(n);
    else if (n == 0 || errno != EINTR)
      return false;
  }
  return true;
}

bool answer(int line, const Result<void>& done) {
  if (done) {
    const Answer none;
    return write_all(line, &none, sizeof none);
  }
  const Error& e = done.error();
  const Answer head{static_cast<int>(e.code), static_cast<std::uint32_t>(e.message.size()),
                    static_cast<std::uint32_t>(e.where.size())};
  return write_all(line, &head, sizeof head) &&
         write_all(line, e.message.data(), e.message.size()) &&
         write_all(line, e.where.data(), e.where.size());
}

// nullopt where the process ended before it had answered.
std::optional<Result<void>> heard(int line) {
  Answer head;
  if (!read_all(line, &head, sizeof head)) return std::nullopt;
  if (head.code == 0) return Result<void>();
  std::string message(head.message, ' '), where(head.where, ' ');
  if (!read_all(line, message.data(), message.size()) ||
      !read_all(line, where.data(), where.size()))
    return std::nullopt;
  return fail(static_cast<ErrorCode>(head.code), message, where);
}

// The life of a worker: it ends with the process that started it.
[[noreturn]] void serve(int line, pid_t parent, const Jobs& jobs) {
  ::prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (::getppid() != parent) ::_exit(0);
  ::signal(SIGINT, SIG_IGN);  // who stops the run lets this job be finished
  ::signal(SIGTERM, SIG_IGN);
  cv::setNumThreads(1);  // one worker a core: threads of their own would only wait for each other
  ::omp_set_num_threads(1);
  Number job = 0;
  while (read_all(line, &job, sizeof job)) {
    try {
      if (!answer(line, jobs.work(static_cast<std::size_t>(job)))) break;
    } catch (...) {
      ::abort();  // told as a job that brought its process down
    }
  }
  ::_exit(0);
}

struct Worker {
  pid_t pid = -1;
  int line = -1;
  std::size_t knows = 0;  // the jobs that there were when it was started
  std::optional<std::size_t> job;
  Clock::time_point until;
};

class Pool {
 public:
  Pool(const Jobs& jobs, int size) : jobs_(jobs), workers_(static_cast<std::size_t>(size)) {}

  ~Pool() {
    for (Worker& w : workers_)
      if (w.pid > 0) end(w);
  }

  void give(std::size_t worker, std::size_t job) {
    Worker& w = workers_[worker];
    if (w.pid > 0 && job >= w.knows) end(w);
    if (w.pid < 0 && !start(w)) return failed(job, "no process could be started");
    w.job = job;
    w.until = Clock::now() + jobs_.limit(job);
    const Number number = job;
    if (!write_all(w.line, &number, sizeof number))
      give_up(w, "the process that was to check it has ended");
  }

  std::optional<std::size_t> free_worker() const {
    const auto found = std::find_if(workers_.begin(), workers_.end(),
                                    [](const Worker& w) { return !w.job.has_value(); });
    if (found == workers_.end()) return std::nullopt;
    return static_cast<std::size_t>(found - workers_.begin());
  }

  bool busy() const {
    return std::any_of(workers_.begin(), workers_.end(),
                       [](const Worker& w) { return w.job.has_value(); });
  }

  // Ends those who wait: each holds the networks, and knows of no other job.
  void rest() {
    for (Worker& w : workers_)
      if (w.pid > 0 && !w.job) end(w);
  }

  const Result<void>& so_far() const { return so_far_; }

  // Waits until a job ends or a part of a second has passed.
  void wait() {
    std::vector<pollfd> lines;
    std::vector<Worker*> at;
    for (Worker& w : workers_)
      if (w.job) {
        lines.push_back({w.line, POLLIN, 0});
        at.push_back(&w);
      }
    ::poll(lines.data(), lines.size(), 200);
    for (std::size_t i = 0; i < lines.size(); ++i) {
      Worker& w = *at[i];
      if (lines[i].revents != 0)
        hear(w);
      else if (Clock::now() > w.until)
        give_up(w, "took too long");
    }
  }

 private:
  bool start(Worker& w) {
    int line[2];
    if (::socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, line) != 0) return false;
    const pid_t parent = ::getpid(), pid = ::fork();
    if (pid == 0) {
      ::close(line[0]);
      for (const Worker& other : workers_)
        if (other.line >= 0) ::close(other.line);
      serve(line[1], parent, jobs_);
    }
    ::close(line[1]);
    if (pid < 0) {
      ::close(line[0]);
      return false;
    }
    w.pid = pid, w.line = line[0], w.knows = jobs_.count();
    return true;
  }

  void hear(Worker& w) {
    const std::optional<Result<void>> told = heard(w.line);
    if (!told) return give_up(w, "brought the check down");
    const std::size_t job = *w.job;
    w.job.reset();
    if (*told)
      jobs_.ended({job, "", false});
    else if (jobs_.bearable && jobs_.bearable(told->error()))
      jobs_.ended({job, told->error().message, true});
    else
      so_far_ = *told;
  }

  void give_up(Worker& w, const char* why) {
    const std::size_t job = *w.job;
    w.job.reset();
    end(w);
    failed(job, why);
  }

  void failed(std::size_t job, const char* why) { jobs_.ended({job, why, false}); }

  static void end(Worker& w) {
    ::kill(w.pid, SIGKILL);
    ::waitpid(w.pid, nullptr, 0);
    ::close(w.line);
    w.pid = -1, w.line = -1;
  }

  const Jobs& jobs_;
  std::vector<Worker> workers_;
  Result<void> so_far_;
};

}  // namespace

Result<void> run_in_workers(int workers, const Jobs& jobs, const std::atomic<bool>& stop) {
  Pool pool(jobs, std::max(1, workers));
  std::size_t next = 0;
  while (true) {
    const bool going_on = !stop && pool.so_far();
    const bool more = going_on && next < jobs.count();
    if (const auto worker = pool.free_worker(); more && worker) {
      pool.give(*worker, next++);
      continue;
    }
    if (!more) pool.rest();
    const bool later = going_on && jobs.more_to_come && jobs.more_to_come();
    if (!pool.busy() && !later) return pool.so_far();
    pool.wait();
    jobs.idle();
  }
}

}  // namespace plumbstack
