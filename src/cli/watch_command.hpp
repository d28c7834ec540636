// plumbstack watch: photos checked as they arrive in a folder.
#pragma once

#include <iosfwd>
#include <string>

#include "plumbstack/base/result.hpp"

namespace CLI {
class App;
}

namespace plumbstack {

struct WatchArguments {
  std::string pack, folder, nets;
  double max_megapixels = 108, quiet_seconds = 2;
  int workers = 0;  // 0 = one a core
  int photo_seconds = 120;
  bool once = false;
};

CLI::App& add_watch_command(CLI::App& app, WatchArguments& arguments);
/// @param say a line for each stack whose verdict is new
Result<ExitCode> run_watch(const WatchArguments& arguments, std::ostream& say);

}  // namespace plumbstack
