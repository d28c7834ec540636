// Shards into one: no gap, no part twice, all of one archive, pack and version.
#include <algorithm>

#include "outputs.hpp"

namespace plumbstack {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> refuse(const fs::path& shard, const std::string& why) {
  return fail(ErrorCode::sheet_invalid, why, shard.string());
}

Result<void> copy_stack(const fs::path& from, const fs::path& to) {
  std::error_code error;
  fs::create_directories(to, error);
  // Its files only: a folder in it is another stack's.
  for (fs::directory_iterator it(from, error), end; !error && it != end; it.increment(error))
    if (it->is_regular_file()) {
      fs::copy_file(it->path(), to / it->path().filename(), fs::copy_options::overwrite_existing,
                    error);
      if (error) break;
    }
  if (error)
    return fail(ErrorCode::output_unwritable, "can't be copied here: " + error.message(),
                to.string());
  return {};
}

}  // namespace

Result<BatchCounts> merge_batches(const std::vector<fs::path>& shards, const fs::path& out) {
  std::vector<RunFacts> runs;
  std::vector<bool> there;
  for (const fs::path& shard : shards) {
    auto run = read_run(shard);
    if (!run) return tl::unexpected(run.error());
    if (runs.empty()) there.resize(static_cast<std::size_t>(std::max(1, run->shard.of)));
    const RunFacts& first = runs.empty() ? *run : runs.front();
    if (run->stacks_sha256 != first.stacks_sha256 || run->shard.of != first.shard.of)
      return refuse(shard,
                    "is of another archive, or parted otherwise, than " + shards.front().string());
    if (run->pack_sha256 != first.pack_sha256)
      return refuse(shard,
                    "was checked by another pack definition than " + shards.front().string());
    const auto part = static_cast<std::size_t>(run->shard.part - 1);
    if (part >= there.size() || there[part])
      return refuse(shard, "is part " + std::to_string(run->shard.part) + " again");
    there[part] = true;
    runs.push_back(std::move(*run));
  }
  for (std::size_t part = 0; part < there.size(); ++part)
    if (!there[part])
      return refuse(out, "part " + std::to_string(part + 1) + " of " +
                             std::to_string(there.size()) + " is not among the shards given");
  RunFacts whole = runs.front();
  whole.shard = {};
  whole.stacks.clear();
  for (std::size_t i = 0; i < runs.size(); ++i)
    for (const std::string& stack : runs[i].stacks) {
      if (auto copied = copy_stack(folder_of(shards[i], stack), folder_of(out, stack)); !copied)
        return tl::unexpected(copied.error());
      whole.stacks.push_back(stack);
    }
  std::sort(whole.stacks.begin(), whole.stacks.end());
  return write_outputs(whole, out);
}

}  // namespace plumbstack
