#include "watch_command.hpp"

#include <CLI/CLI.hpp>
#include <ostream>
#include <utility>

#include "archive_text.hpp"
#include "model_folder.hpp"
#include "plumbstack/watch.hpp"
#include "stop_signal.hpp"

namespace plumbstack {
namespace {

constexpr const char* kHelp =
    "A stack is what it is in an archive (plumbstack batch --help): a folder with photos named "
    "after\n"
    "the sides, or what manifest.csv or manifest.json in FOLDER names. Its results come into\n"
    "plumbstack-results beside the photos. Its verdict is that of the photos that have arrived: a\n"
    "side that is missing keeps it from passing.\n\n"
    "Example:\n"
    "  plumbstack watch --pack models/packs/long-34.json INCOMING\n\n"
    "Exit status: 0 ended by ctrl-C (SIGINT) or SIGTERM, after the stacks at hand; 64 wrong "
    "usage,\n"
    "65 bad input, 70 a fault of the program's own, 74 an output that could not be written. With\n"
    "--once 0 all pass, 1 some need fixing, 2 none does, but some need new photos, 3 some could "
    "not\n"
    "be checked at all, 130 stopped.";

Result<ExitCode> watched(const WatchArguments& a, const WatchOptions& options, std::ostream& say) {
  const char* first = kArchiveCaution;  // before all else, and not where the call is refused
  const auto line = [&](const std::string& text) {
    if (first) say << std::exchange(first, nullptr) << "\n";
    say << text << "\n" << std::flush;
  };
  const auto counts = watch_folder(a.folder, a.pack, options, stop_by_signal(), line);
  if (!counts) return tl::unexpected(counts.error());
  if (!a.once) {
    say << "Stopped. " << counts_text(*counts);
    return ExitCode::pass;
  }
  if (counts->stopped) {
    say << "Stopped: " << counts->done << " of " << many(counts->stacks, "stack")
        << " are done and kept. The same call goes on.\n";
    return ExitCode::stopped;
  }
  say << counts_text(*counts);
  return exit_code_of(*counts);
}

}  // namespace

CLI::App& add_watch_command(CLI::App& app, WatchArguments& a) {
  CLI::App& watch = *app.add_subcommand("watch", "Check photos as they arrive in a folder");
  watch
      .add_option("--pack", a.pack, "Pack definition (JSON) of stacks that have none of their own")
      ->required()
      ->type_name("PACK.json");
  watch.add_flag("--once", a.once, "Check what is there and end");
  watch
      .add_option("--quiet-seconds", a.quiet_seconds,
                  "A photo of which the system does not tell that it is whole (on a network share) "
                  "must not have changed for so long")
      ->check(CLI::Range(0.1, 3600.0))
      ->capture_default_str()
      ->type_name("S");
  watch.add_option("--workers", a.workers, "Processes (else one a core)")
      ->check(CLI::Range(1, 1024))
      ->type_name("N");
  watch.add_option("--photo-seconds", a.photo_seconds, "A stack may take so long for each photo")
      ->check(CLI::Range(1, 86400))
      ->capture_default_str()
      ->type_name("S");
  watch.add_option("--max-megapixels", a.max_megapixels, "Refuse larger photos (up to 2000)")
      ->check(CLI::Range(0.001, 2000.0))
      ->capture_default_str()
      ->type_name("N");
  watch.add_option("--nets", a.nets, "Folder of the networks (else $PLUMBSTACK_MODELS/nets)")
      ->type_name("DIR");
  watch.add_option("folder", a.folder, "Folder of the stacks")->required()->type_name("FOLDER");
  watch.footer(kHelp);
  return watch;
}

Result<ExitCode> run_watch(const WatchArguments& a, std::ostream& say) {
  const auto nets = find_model_folder(a.nets);
  if (!nets) return tl::unexpected(nets.error());
  WatchOptions options;
  options.nets = *nets;
  options.photo.max_megapixels = a.max_megapixels;
  options.workers = workers_or_cores(a.workers);
  options.photo_limit = std::chrono::seconds(a.photo_seconds);
  options.quiet = std::chrono::milliseconds(static_cast<long>(a.quiet_seconds * 1000));
  options.once = a.once;
  return watched(a, options, say);
}

}  // namespace plumbstack
