// Jobs in processes of their own: what one of them does to itself, the others don't notice.
#include <gmock/gmock.h>
#include <unistd.h>

#include <csignal>
#include <fstream>
#include <map>
#include <thread>

#include "files.hpp"
#include "workers.hpp"

namespace plumbstack {
namespace {

using namespace std::chrono_literals;

struct Workers : testing::Test {
  test::ScratchFolder folder;
  std::map<std::size_t, std::string> ends;  // of each job, how it was lost
  std::atomic<bool> stop{false};
  std::size_t count = 9;
  Jobs jobs;

  void SetUp() override {
    jobs.count = [this] { return count; };
    jobs.work = [](std::size_t) { return Result<void>(); };
    jobs.limit = [](std::size_t) { return 20s; };
    jobs.ended = [this](const JobEnd& end) { EXPECT_TRUE(ends.emplace(end.job, end.lost).second); };
    jobs.idle = [] {};
  }
  std::filesystem::path mark(std::size_t job) { return folder.path() / std::to_string(job); }
};

TEST_F(Workers, DoEachJobOnceAndNotHere) {
  const pid_t here = ::getpid();
  jobs.work = [&](std::size_t job) {
    std::ofstream(mark(job), std::ios::app) << (::getpid() == here ? "here" : "x");
    return Result<void>();
  };
  EXPECT_TRUE(run_in_workers(3, jobs, stop));
  EXPECT_EQ(ends.size(), 9u);
  for (std::size_t job = 0; job < 9; ++job) {
    std::string text;
    std::ifstream(mark(job)) >> text;
    EXPECT_EQ(text, "x") << job;
  }
}

TEST_F(Workers, AJobThatBringsItsProcessDownIsLostAlone) {
  jobs.work = [](std::size_t job) -> Result<void> {
    if (job == 2) std::raise(SIGKILL);
    if (job == 5) throw std::runtime_error("unexpected");
    return {};
  };
  EXPECT_TRUE(run_in_workers(2, jobs, stop));
  ASSERT_EQ(ends.size(), 9u);
  for (const auto& [job, lost] : ends)
    EXPECT_EQ(lost, job == 2 || job == 5 ? "brought the check down" : "") << job;
}

TEST_F(Workers, AJobThatTakesTooLongIsLostAlone) {
  jobs.limit = [](std::size_t job) { return job == 1 ? 300ms : 20000ms; };
  jobs.work = [](std::size_t job) -> Result<void> {
    if (job == 1) std::this_thread::sleep_for(60s);
    return {};
  };
  const auto start = std::chrono::steady_clock::now();
  EXPECT_TRUE(run_in_workers(2, jobs, stop));
  EXPECT_LT(std::chrono::steady_clock::now() - start, 20s);
  ASSERT_EQ(ends.size(), 9u);
  for (const auto& [job, lost] : ends) EXPECT_EQ(lost, job == 1 ? "took too long" : "") << job;
}

TEST_F(Workers, AnErrorEndsTheRunAndIsGivenBack) {
  count = 1000;
  jobs.work = [](std::size_t job) -> Result<void> {
    if (job == 3) return fail(ErrorCode::output_unwritable, "no space", "somewhere");
    std::this_thread::sleep_for(1ms);  // else the other does dozens before this one is heard
    return {};
  };
  const Result<void> ran = run_in_workers(2, jobs, stop);
  ASSERT_FALSE(ran);
  EXPECT_EQ(ran.error().code, ErrorCode::output_unwritable);
  EXPECT_EQ(ran.error().message, "no space");
  EXPECT_EQ(ran.error().where, "somewhere");
  EXPECT_LT(ends.size(), 500u);
}

TEST_F(Workers, ABearableErrorCostsItsOwnJob) {
  jobs.work = [](std::size_t job) -> Result<void> {
    if (job == 3) return fail(ErrorCode::output_unwritable, "no space", "somewhere");
    return {};
  };
  jobs.bearable = [](const Error& e) { return e.code == ErrorCode::output_unwritable; };
  EXPECT_TRUE(run_in_workers(2, jobs, stop));
  ASSERT_EQ(ends.size(), 9u);
  for (const auto& [job, lost] : ends) EXPECT_EQ(lost, job == 3 ? "no space" : "") << job;
}

// What comes later is done by a process that knows of it, and none waits for it with its memory.
TEST_F(Workers, JobsMayComeLater) {
  std::vector<std::string> words{"a", "b"};
  jobs.count = [&] { return words.size(); };
  jobs.more_to_come = [&] { return words.size() < 4; };
  jobs.work = [&](std::size_t job) {
    std::ofstream(mark(job)) << words.at(job);
    return Result<void>();
  };
  int waits = 0;
  jobs.idle = [&] {
    if (ends.size() == words.size() && words.size() < 4 && ++waits % 2 == 0)
      words.push_back("late" + std::to_string(words.size()));
  };
  EXPECT_TRUE(run_in_workers(2, jobs, stop));
  ASSERT_EQ(ends.size(), 4u);
  for (std::size_t job = 0; job < 4; ++job) {
    EXPECT_EQ(ends[job], "") << job;
    EXPECT_EQ(test::read_text(mark(job)), words[job]);
  }
}

TEST_F(Workers, StopLetsTheJobsAtHandBeFinished) {
  count = 1000;
  jobs.ended = [&](const JobEnd& end) {
    ends.emplace(end.job, end.lost);
    if (end.job == 4) stop = true;
  };
  EXPECT_TRUE(run_in_workers(2, jobs, stop));
  EXPECT_LT(ends.size(), 10u);
  for (const auto& [job, lost] : ends) EXPECT_EQ(lost, "") << job;
}

}  // namespace
}  // namespace plumbstack
