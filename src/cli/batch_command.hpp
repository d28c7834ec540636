// plumbstack batch: an archive of many stacks; and the joining of its shards.
#pragma once

#include <filesystem>
#include <iosfwd>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace CLI {
class App;
}

namespace plumbstack {

struct BatchArguments {
  std::string pack, out, archive, shard, nets;
  std::vector<std::string> shards;  // to be joined
  double max_megapixels = 108;
  int workers = 0;  // 0 = one a core
  int photo_seconds = 120;
  bool resume = false, dry_run = false, merge = false;
};

CLI::App& add_batch_command(CLI::App& app, BatchArguments& arguments);
/// @param say the summary; @param tell progress, and `live` if that is a terminal
Result<ExitCode> run_batch_command(const BatchArguments& arguments, std::ostream& say,
                                   std::ostream& tell, bool live);
/// Renames the results of an earlier run in the folder, if it is one.
Result<void> retire_batch_in(const std::filesystem::path& folder);

}  // namespace plumbstack
