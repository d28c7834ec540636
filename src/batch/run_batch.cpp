#include "outputs.hpp"
#include "plumbstack/batch.hpp"
#include "plumbstack/photo.hpp"
#include "stack_check.hpp"
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

void count_saved(const fs::path& out, const std::string& stack, BatchCounts& counts) {
  if (const auto entry = saved_entry(folder_of(out, stack), stack))
    count_in(facts_of(*entry), counts);
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
    const auto saved = options.resume
                           ? entry_of_same(archive.root, *stack, packs, folder_of(out, stack->name))
                           : std::nullopt;
    if (saved)
      ++counts.taken_over, ++counts.done, count_in(facts_of(*saved), counts);
    else
      to_do.push_back(stack);
    if (stop) break;
  }
  StackCheck check(archive.root, options.nets, options.photo);
  Jobs jobs;
  jobs.count = [&] { return to_do.size(); };
  jobs.work = [&](std::size_t i) {
    return check(*to_do[i], packs, folder_of(out, to_do[i]->name));
  };
  jobs.limit = [&](std::size_t i) { return stack_limit(options.photo_limit, *to_do[i]); };
  Result<void> kept;
  jobs.ended = [&](const JobEnd& end) {
    const std::string& name = to_do[end.job]->name;
    if (!end.lost.empty())
      if (auto saved = save_failure(folder_of(out, name), name, end.lost); !saved) kept = saved;
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
