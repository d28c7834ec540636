#include "batch_command.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdlib>
#include <ostream>

#include "archive_text.hpp"
#include "model_folder.hpp"
#include "output_folder.hpp"
#include "plumbstack/batch.hpp"
#include "stop_signal.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

constexpr const char* kHelp =
    "A stack is a folder of ARCHIVE with photos named after the sides (number.jpg, vent.png ...); "
    "a\n"
    "pack.json in a folder is for that folder and those below. Or ARCHIVE/manifest.csv names all:\n"
    "columns stack, side, file and, where they are wanted, pack and slot_1; or manifest.json "
    "does.\n\n"
    "Examples:\n"
    "  plumbstack batch --pack models/packs/long-34.json --out CHECKED ARCHIVE\n"
    "  plumbstack batch --pack PACK.json --out PART-2 --shard 2/8 ARCHIVE\n"
    "  plumbstack batch merge --out CHECKED PART-*\n\n"
    "Exit status: 0 all pass, 1 some need fixing, 2 none does, but some need new photos, 3 some\n"
    "could not be checked at all (others may need fixing too), 64 wrong usage, 65 bad input, 70 a\n"
    "fault of the program's own, 74 an output that could not be written, 130 stopped.";

std::string span(std::chrono::duration<double> time) {
  const long s = std::lround(time.count());
  if (s < 90) return fmt::format("{} s", s);
  if (s < 5400) return fmt::format("{} min", (s + 30) / 60);
  return fmt::format("{:.1f} h", static_cast<double>(s) / 3600);
}

// On a terminal one line that is written over; elsewhere a line each half minute.
class ProgressLine {
 public:
  ProgressLine(std::ostream& tell, bool live) : tell_(tell), live_(live) {}

  void operator()(const BatchCounts& counts, std::chrono::steady_clock::duration spent) {
    const auto now = std::chrono::steady_clock::now();
    const auto pause = live_ ? std::chrono::milliseconds(200) : std::chrono::milliseconds(30000);
    if (now - told_ < pause) return;
    told_ = now;
    const std::string line = line_of(counts, spent);
    if (!live_) {
      tell_ << line << "\n" << std::flush;
      return;
    }
    tell_ << "\r" << line << std::string(width_ > line.size() ? width_ - line.size() : 0, ' ')
          << std::flush;
    width_ = line.size();
  }

  void end() {
    if (width_ > 0) tell_ << "\r" << std::string(width_, ' ') << "\r" << std::flush;
  }

 private:
  static std::string line_of(const BatchCounts& c, std::chrono::duration<double> spent) {
    std::string line = fmt::format("{} of {} stacks", c.done, c.stacks);
    const std::size_t fresh = c.done - c.taken_over;
    if (fresh > 0) {
      const double rate = static_cast<double>(fresh) / spent.count();
      line += fmt::format(
          ", {:.2f} a second, {} left", rate,
          span(std::chrono::duration<double>(static_cast<double>(c.stacks - c.done) / rate)));
    }
    return line +
           fmt::format("; {} to fix, {} to photograph again, {} unread", c.fix, c.retake, c.unread);
  }

  std::ostream& tell_;
  bool live_;
  std::size_t width_ = 0;
  std::chrono::steady_clock::time_point told_ = std::chrono::steady_clock::now();
};

std::string dry_text(const Archive& archive, PackBook& packs, const Shard& shard) {
  std::string text;
  std::size_t stacks = 0, photos = 0;
  for (const ArchiveStack& stack : archive.stacks) {
    if (!belongs_to(stack.name, shard)) continue;
    ++stacks, photos += stack.photos.size();
    const auto& pack = packs.at(stack.pack);
    text += stack.name + "  (" + (pack ? pack->pack.id : stack.pack + " can't be read") + ")\n";
    for (const ArchivePhoto& photo : stack.photos)
      text += "  " + photo.side + "  " + photo.file + "\n";
  }
  for (const Unplaced& u : archive.unplaced) text += "not placed: " + u.file + ": " + u.why + "\n";
  return text + many(stacks, "stack") + ", " + many(photos, "photo") + "; " +
         many(archive.unplaced.size(), "file") + " not placed. Nothing was checked.\n";
}

std::string summary_text(const BatchCounts& c, const fs::path& out) {
  std::string text = counts_text(c);
  if (c.taken_over > 0) text += fmt::format("{} of them taken over from before\n", c.taken_over);
  text += "\n  " + (out / "index.html").string() + "\n  " + (out / "results.jsonl").string() +
          "\n  " + (out / "summary.csv").string() + "\n";
  if (c.unread > 0) text += "  " + (out / "failures.jsonl").string() + "\n";
  return text + "\n" + kArchiveCaution;
}

Result<Shard> shard_of(const BatchArguments& a) {
  if (a.shard.empty())
    return shard_of_task([](const char* name) { return std::getenv(name); }).value_or(Shard{});
  std::string word = a.shard;
  // An indexed job tells which part it is, from 0, and not of how many.
  if (word.rfind("auto/", 0) == 0) {
    const char* index = std::getenv("JOB_COMPLETION_INDEX");
    const auto part = index ? shard_named(std::string(index) + "/1000000000") : std::nullopt;
    const bool first = index && std::string(index) == "0";
    if (!part && !first)
      return fail(ErrorCode::usage, "--shard " + word + " needs JOB_COMPLETION_INDEX");
    word = std::to_string(first ? 1 : part->part + 1) + word.substr(4);
  }
  if (const auto shard = shard_named(word)) return *shard;
  return fail(ErrorCode::usage, "--shard is I/N with I from 1 to N, not '" + a.shard + "'");
}

Result<OutputFolder> open_retired(const fs::path& folder) {
  auto out = OutputFolder::open(folder);
  if (!out) return out;
  if (const auto retired = retire_old_batch(folder); !retired)
    return tl::unexpected(retired.error());
  return out;
}

Result<ExitCode> check_archive(const BatchArguments& a, std::ostream& say, std::ostream& tell,
                               bool live) {
  const auto out = a.dry_run ? OutputFolder::none() : open_retired(a.out);
  if (!out) return tl::unexpected(out.error());
  const auto shard = shard_of(a);
  if (!shard) return tl::unexpected(shard.error());
  PackBook packs(a.pack, a.archive);
  if (const auto& usual = packs.at(""); !usual) return tl::unexpected(usual.error());
  const auto archive = read_archive(a.archive, packs, a.out);
  if (!archive) return tl::unexpected(archive.error());
  if (a.dry_run) {
    say << dry_text(*archive, packs, *shard);
    return ExitCode::pass;
  }
  const auto nets = find_model_folder(a.nets);
  if (!nets) return tl::unexpected(nets.error());
  BatchOptions options;
  options.nets = *nets;
  options.photo.max_megapixels = a.max_megapixels;
  options.workers = workers_or_cores(a.workers);
  options.photo_limit = std::chrono::seconds(a.photo_seconds);
  options.shard = *shard;
  options.resume = a.resume;
  const std::atomic<bool>& stop = stop_by_signal();
  ProgressLine line(tell, live);
  const auto counts = run_batch(*archive, packs, options, a.out, stop, std::ref(line));
  line.end();
  if (!counts) return tl::unexpected(counts.error());
  if (counts->stopped) {
    say << fmt::format(
        "Stopped: {} of {} stacks are done and kept. The same call with --resume "
        "goes on.\n",
        counts->done, counts->stacks);
    return ExitCode::stopped;
  }
  say << summary_text(*counts, a.out);
  return exit_code_of(*counts);
}

Result<ExitCode> merge_shards(const BatchArguments& a, std::ostream& say) {
  const auto out = open_retired(a.out);
  if (!out) return tl::unexpected(out.error());
  const auto counts = merge_batches({a.shards.begin(), a.shards.end()}, a.out);
  if (!counts) return tl::unexpected(counts.error());
  say << summary_text(*counts, a.out);
  return exit_code_of(*counts);
}

}  // namespace

CLI::App& add_batch_command(CLI::App& app, BatchArguments& a) {
  CLI::App& batch = *app.add_subcommand("batch", "Check an archive of many stacks");
  batch
      .add_option("--pack", a.pack, "Pack definition (JSON) of stacks that have none of their own")
      ->type_name("PACK.json");
  batch.add_option("--out", a.out, "Folder for the results")->type_name("DIR");
  batch
      .add_option("--shard", a.shard,
                  "Only part I of N (else as a task of a Slurm array says); "
                  "auto/N takes I from JOB_COMPLETION_INDEX")
      ->type_name("I/N");
  batch.add_flag("--resume", a.resume, "Take over what was done from the same photos and pack");
  batch.add_flag("--dry-run", a.dry_run, "List the stacks, and what can't be placed");
  batch.add_option("--workers", a.workers, "Processes (else one a core)")
      ->check(CLI::Range(1, 1024))
      ->type_name("N");
  batch.add_option("--photo-seconds", a.photo_seconds, "A stack may take so long for each photo")
      ->check(CLI::Range(1, 86400))
      ->capture_default_str()
      ->type_name("S");
  batch.add_option("--max-megapixels", a.max_megapixels, "Refuse larger photos (up to 2000)")
      ->check(CLI::Range(0.001, 2000.0))
      ->capture_default_str()
      ->type_name("N");
  batch.add_option("--nets", a.nets, "Folder of the networks (else $PLUMBSTACK_MODELS/nets)")
      ->type_name("DIR");
  batch.add_option("archive", a.archive, "Folder of the stacks")->type_name("ARCHIVE");
  CLI::App& merge = *batch.add_subcommand("merge", "Join the outputs of all shards");
  merge.add_option("--out", a.out, "Folder for the whole")->required()->type_name("DIR");
  merge.add_option("shard", a.shards, "Output folder of each shard")->required()->type_name("DIR");
  merge.callback([&a] { a.merge = true; });
  batch.footer(kHelp);
  return batch;
}

Result<void> retire_batch_in(const fs::path& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) return {};
  return retire_old_batch(folder);
}

Result<ExitCode> run_batch_command(const BatchArguments& a, std::ostream& say, std::ostream& tell,
                                   bool live) {
  if (a.merge) return merge_shards(a, say);
  for (const auto& [name, value] : {std::pair<const char*, const std::string&>{"--pack", a.pack},
                                    {"--out", a.out},
                                    {"ARCHIVE", a.archive}})
    if (value.empty())
      return fail(ErrorCode::usage,
                  std::string(name) + " is required; see plumbstack batch --help");
  return check_archive(a, say, tell, live);
}

}  // namespace plumbstack
