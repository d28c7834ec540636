// The folder is looked at again and again, as an archive, and each stack whose photos have changed
// and are whole becomes a job. What the system tells of files only makes that quick: nothing is
// lost where it tells nothing, or too much.
#include "plumbstack/watch.hpp"

#include <algorithm>
#include <deque>
#include <memory>
#include <set>
#include <utility>

#include "folder_events.hpp"
#include "folder_lock.hpp"
#include "outputs.hpp"
#include "settling.hpp"
#include "stack_check.hpp"
#include "watch_line.hpp"
#include "watched_paths.hpp"
#include "workers.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr auto kBurst = 300ms;       // photos of one stack that come so close are checked together
constexpr auto kTryAgain = 60s;      // where results could not be written
constexpr int kShareOfLooking = 10;  // at most one part in so many of the time goes into looking

class Watch {
 public:
  Watch(fs::path root, fs::path pack, const WatchOptions& options, const WatchTell& tell)
      : root_(std::move(root)),
        pack_(std::move(pack)),
        options_(options),
        tell_(tell),
        settling_(options.quiet),
        events_(root_),
        check_(root_, options.nets, options.photo) {}

  Result<BatchCounts> run(const std::atomic<bool>& stop) {
    if (auto looked = look(Clock::now()); !looked) return tl::unexpected(looked.error());
    if (!options_.once) tell_("watching " + root_.string());
    Jobs jobs;
    jobs.count = [this] { return jobs_.size(); };
    jobs.more_to_come = [this] { return !options_.once || waiting_; };
    jobs.work = [this](std::size_t job) { return work(jobs_[job]); };
    jobs.bearable = [this](const Error& e) {
      return e.code == ErrorCode::output_unwritable && !options_.once;
    };
    jobs.limit = [this](std::size_t job) { return stack_limit(options_.photo_limit, jobs_[job]); };
    jobs.ended = [this](const JobEnd& end) { ended(end); };
    jobs.idle = [this] { look_again(); };
    if (auto ran = run_in_workers(options_.workers, jobs, stop); !ran)
      return tl::unexpected(ran.error());
    if (!failed_) return tl::unexpected(failed_.error());
    return counts();
  }

 private:
  struct Stack {
    std::string state, given;  // of its photos and pack: as last seen, and as last given out
    Clock::time_point since{}, not_before{};
    bool at_hand = false, seen = false;
    std::optional<FileMark> entry_before;  // of its entry's file, when it was given out
    std::optional<BatchVerdict> verdict;
    std::string line;  // as last told
  };

  Result<void> work(const ArchiveStack& stack) {
    const fs::path folder = results_of(root_, stack.name);
    if (lie_elsewhere(root_, folder))
      return fail(ErrorCode::output_unwritable, "a link leads its results elsewhere",
                  folder.string());
    if (entry_of_same(root_, stack, *packs_, folder)) return {};
    return check_(stack, *packs_, folder);
  }

  void look_again() {
    if (!failed_) return;
    const auto now = Clock::now();
    told_ |= events_.drain([this](FolderEvents::Kind kind, const std::string& file) {
      if (kind == FolderEvents::Kind::written) settling_.being_written(file);
      if (kind == FolderEvents::Kind::closed) settling_.closed(file);
    });
    const auto pause = told_ || waiting_ ? 0ms : options_.quiet;
    if (now - looked_ < std::max<Clock::duration>(pause, kShareOfLooking * look_took_)) return;
    const auto looked = look(now);
    if (looked) return;
    if (options_.once)
      failed_ = looked, waiting_ = false;  // nobody may come to mend it
    else
      tell_once(error_text(looked.error()));
  }

  // Errors: as of read_archive.
  Result<void> look(Clock::time_point now) {
    looked_ = now, told_ = false;
    told_before_ = std::exchange(told_now_, {});
    // Anew, since definitions may come and change too.
    packs_ = std::make_unique<PackBook>(pack_, root_);
    const Result<Archive> archive = read_archive(root_, *packs_, {});
    if (!archive) return tl::unexpected(archive.error());
    if (!events_.follow(archive->folders))
      tell_once("the system does not tell of all folders; what comes there is found by looking");
    for (const Unplaced& u : archive->unplaced) tell_once("not placed: " + u.file + ": " + u.why);
    waiting_ = false;
    out_of_sight_ = archive->unreadable;
    for (const ArchiveStack& stack : archive->stacks) look_at(stack, now);
    if (first_look_) find_left_over(*archive);
    first_look_ = false;
    settling_.end_of_look();
    let_go();
    look_took_ = Clock::now() - now;
    tell_taken_over();
    return {};
  }

  void look_at(const ArchiveStack& all, Clock::time_point now) {
    if (is_out_of_sight(all)) return;
    const Result<PackFile>& pack = packs_->at(all.pack);
    std::string state = (pack ? pack->sha256 : pack.error().message) + "\n";
    ArchiveStack stack{all.name, all.pack, {}};
    bool whole = true;
    for (const ArchivePhoto& photo : all.photos) {
      const auto mark = mark_of(root_ / photo.file);
      if (!mark) continue;  // a manifest may name what has not arrived
      whole &= settling_.whole(photo.file, *mark, now);
      state +=
          photo.side + "@" + (photo.slot_1_at ? name_of(*photo.slot_1_at) : "") + "=" + photo.file;
      for (const auto part : {mark->size, mark->inode, static_cast<std::uintmax_t>(mark->modified),
                              static_cast<std::uintmax_t>(settling_.closings(photo.file))})
        state += " " + std::to_string(part);
      state += "\n";
      stack.photos.push_back(photo);
    }
    if (stack.photos.empty()) return;
    Stack& s = stacks_[all.name];
    s.seen = true;
    if (state != s.state) s.state = state, s.since = now;
    if (s.given != s.state) give(s, stack, whole, now);
    waiting_ |= s.given != s.state || s.at_hand;
  }

  void give(Stack& s, const ArchiveStack& stack, bool whole, Clock::time_point now) {
    if (s.at_hand || !whole || now - s.since < kBurst || now < s.not_before) return;
    s.given = s.state, s.at_hand = true;
    s.entry_before = mark_of(results_of(root_, stack.name) / kEntryFile);
    jobs_.push_back(stack);
  }

  void ended(const JobEnd& end) {
    const std::string name = std::exchange(jobs_[end.job], {}).name;
    const fs::path folder = results_of(root_, name);
    Stack& s = stacks_[name];
    s.at_hand = false;
    std::optional<BatchEntry> entry = saved_entry(folder, name);
    if (!end.lost.empty()) {
      entry = BatchEntry{name, "", nullptr, nullptr, end.lost};
      const bool written = !lie_elsewhere(root_, folder) && save_failure(folder, name, end.lost);
      // What can't be written is tried again; what brings the check down is not.
      if (end.by_error || !written) s.given.clear(), s.not_before = Clock::now() + kTryAgain;
    }
    if (!entry) entry = BatchEntry{name, "", nullptr, nullptr, "its entry can't be read again"};
    s.verdict = facts_of(*entry).verdict;
    const std::string line = watch_line(*entry);
    // What could not be written leaves an older entry as it was.
    const bool before = end.lost.empty() && s.line.empty() && s.entry_before &&
                        s.entry_before == mark_of(folder / kEntryFile);
    if (before)
      ++taken_over_;
    else if (line != s.line)
      tell_(line);
    s.line = line;
  }

  // It stands as it was until all its photos can be seen again.
  bool is_out_of_sight(const ArchiveStack& stack) {
    if (std::none_of(stack.photos.begin(), stack.photos.end(),
                     [this](const ArchivePhoto& p) { return out_of_sight(root_ / p.file); }))
      return false;
    tell_once(stack.name + ": its photos can't be seen; it stands as it was");
    out_of_sight_.push_back(stack.name);
    return true;
  }

  bool has_result(const std::string& name) const {
    std::error_code error;
    return fs::exists(results_of(root_, name) / "result.json", error);
  }

  // Results whose photos went while nobody watched.
  void find_left_over(const Archive& archive) {
    std::set<std::string> names;
    for (const std::string& folder : archive.folders) names.insert(folder.empty() ? "." : folder);
    for (const ArchiveStack& stack : archive.stacks) names.insert(stack.name);
    for (const std::string& name : names)
      if (!stacks_.contains(name) && is_known_gone(name) && has_result(name)) let_go(name);
  }

  bool is_known_gone(const std::string& name) const {
    return std::none_of(
        out_of_sight_.begin(), out_of_sight_.end(),
        [&name](const std::string& folder) { return is_at_or_below(name, folder); });
  }

  void let_go() {
    for (auto it = stacks_.begin(); it != stacks_.end();) {
      auto& [name, s] = *it;
      const bool gone = !s.seen && !s.at_hand && is_known_gone(name);
      s.seen = false;
      // One not given out yet may have a result of an earlier run. What fails is tried again.
      const bool done = gone && ((!s.verdict && !has_result(name)) || let_go(name));
      it = done ? stacks_.erase(it) : std::next(it);
    }
  }

  // Its verdict must not stand where none of its photos does.
  bool let_go(const std::string& name) {
    std::error_code error;
    const fs::path folder = results_of(root_, name);
    const bool stands = fs::is_directory(folder, error) && !lie_elsewhere(root_, folder);
    if (stands)
      if (const auto retired = retire_entry(folder); !retired) {
        tell_once(error_text(retired.error()));
        return false;
      }
    tell_(name + ": its photos are gone" + (stands ? ", its verdict with them" : ""));
    return true;
  }

  void tell_taken_over() {
    if (waiting_ || taken_over_ == 0) return;
    tell_(std::to_string(taken_over_) + (taken_over_ == 1 ? " stack stands" : " stacks stand") +
          " as checked before from the same photos");
    taken_over_ = 0;
  }

  // What the last look told too is no news.
  void tell_once(const std::string& line) {
    if (told_now_.insert(line).second && !told_before_.contains(line)) tell_(line);
  }

  static std::string error_text(const Error& e) {
    return e.where.empty() ? e.message : e.where + ": " + e.message;
  }

  BatchCounts counts() const {
    BatchCounts counts;
    for (const auto& [name, s] : stacks_) {
      ++counts.stacks;
      if (s.given != s.state || s.at_hand || !s.verdict) {
        counts.stopped = true;
        continue;
      }
      ++counts.done;
      StackFacts facts;
      facts.verdict = *s.verdict;
      count_in(facts, counts);
    }
    return counts;
  }

  fs::path root_, pack_;
  const WatchOptions& options_;
  const WatchTell& tell_;
  Settling settling_;
  FolderEvents events_;
  StackCheck check_;
  std::unique_ptr<PackBook> packs_;
  std::map<std::string, Stack> stacks_;
  std::deque<ArchiveStack> jobs_;
  std::vector<std::string> out_of_sight_;         // folders and stacks, in the last look
  std::set<std::string> told_now_, told_before_;  // in this look and in the one before
  Result<void> failed_;                           // a look, where nobody may come to mend it
  std::size_t taken_over_ = 0;
  Clock::time_point looked_{};
  Clock::duration look_took_{};
  bool told_ = false;     // something happened since the last look
  bool waiting_ = false;  // for a stack to become whole, or to be done
  bool first_look_ = true;
};

}  // namespace

Result<BatchCounts> watch_folder(const fs::path& root, const fs::path& pack,
                                 const WatchOptions& options, const std::atomic<bool>& stop,
                                 const WatchTell& tell) {
  PackBook packs(pack, root);
  if (const auto& usual = packs.at(""); !usual) return tl::unexpected(usual.error());
  const FolderLock lock(root);
  if (lock.taken())
    return fail(ErrorCode::usage, "is watched already by another process", root.string());
  return Watch(root, pack, options, tell).run(stop);
}

}  // namespace plumbstack
