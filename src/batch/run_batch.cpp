#include <memory>

#include "outputs.hpp"
#include "plumbstack/batch.hpp"
#include "plumbstack/photo.hpp"
#include "workers.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

std::string hash_of(const std::string& text) {
  return sha256_hex({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

std::string hash_of_names(const Archive& archive) {
  std::string names;
  for (const ArchiveStack& stack : archive.stacks) names += stack.name + "\n";
  return hash_of(names);
}

std::vector<const ArchiveStack*> stacks_of(const Archive& archive, const Shard& shard) {
  std::vector<const ArchiveStack*> stacks;
  for (const ArchiveStack& stack : archive.stacks)
    if (belongs_to(stack.name, shard)) stacks.push_back(&stack);
  return stacks;
}

// A worker's own: the networks are loaded with its first stack.
class StackCheck {
 public:
  StackCheck(const Archive& archive, PackBook& packs, const BatchOptions& options,
             const fs::path& out)
      : archive_(archive), packs_(packs), options_(options), out_(out) {}

  Result<void> operator()(const ArchiveStack& stack) {
    if (!nets_) {
      auto loaded = load_nets(options_.nets);
      if (!loaded) return tl::unexpected(loaded.error());
      nets_ = std::make_unique<Nets>(std::move(*loaded));
    }
    const auto entry = check_entry(archive_, stack, packs_, *nets_, options_, out_);
    if (!entry) return tl::unexpected(entry.error());
    return save_entry(out_, *entry);
  }

 private:
  const Archive& archive_;
  PackBook& packs_;
  const BatchOptions& options_;
  const fs::path& out_;
  std::unique_ptr<Nets> nets_;
};

void count_saved(const fs::path& out, const std::string& stack, BatchCounts& counts) {
  if (const auto entry = saved_entry(out, stack)) count_in(facts_of(*entry), counts);
}

}  // namespace

Result<BatchCounts> run_batch(const Archive& archive, PackBook& packs, const BatchOptions& options,
                              const fs::path& out, const std::atomic<bool>& stop,
                              const BatchProgress& progress) {
  const std::vector<const ArchiveStack*> stacks = stacks_of(archive, options.shard);
  const auto started = std::chrono::steady_clock::now();
  BatchCounts counts;
  counts.stacks = stacks.size();
  const auto tell = [&] { progress(counts, std::chrono::steady_clock::now() - started); };

  std::vector<const ArchiveStack*> to_do;
  for (const ArchiveStack* stack : stacks) {
    const auto saved = options.resume ? saved_entry(out, stack->name) : std::nullopt;
    const bool same =
        saved && !saved->result.is_null() && saved->key == key_now(archive, *stack, packs);
    if (same)
      ++counts.taken_over, ++counts.done, count_in(facts_of(*saved), counts);
    else
      to_do.push_back(stack);
    if (stop) break;
  }
  StackCheck check(archive, packs, options, out);
  Jobs jobs;
  jobs.count = to_do.size();
  jobs.work = [&](std::size_t i) { return check(*to_do[i]); };
  jobs.limit = [&](std::size_t i) {
    return std::chrono::milliseconds(options.photo_limit) *
           static_cast<int>(std::max<std::size_t>(1, to_do[i]->photos.size()));
  };
  Result<void> kept;
  jobs.ended = [&](const JobEnd& end) {
    const std::string& name = to_do[end.job]->name;
    if (!end.lost.empty())
      if (auto saved = save_entry(out, {name, "", nullptr, nullptr, end.lost}); !saved)
        kept = saved;
    ++counts.done;
    count_saved(out, name, counts);
    tell();
  };
  jobs.idle = tell;
  if (auto ran = run_in_workers(options.workers, jobs, stop); !ran)
    return tl::unexpected(ran.error());
  if (!kept) return tl::unexpected(kept.error());
  if (counts.done < counts.stacks) {
    counts.stopped = true;
    return counts;
  }
  RunFacts run;
  run.stacks_sha256 = hash_of_names(archive);
  if (const Result<PackFile>& pack = packs.at(""); pack) run.pack_sha256 = pack->sha256;
  run.shard = options.shard;
  for (const ArchiveStack* stack : stacks) run.stacks.push_back(stack->name);
  run.unplaced = archive.unplaced;
  auto written = write_outputs(run, out);
  if (written) written->taken_over = counts.taken_over;
  return written;
}

}  // namespace plumbstack
