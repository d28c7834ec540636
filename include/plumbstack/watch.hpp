// A folder in which photos arrive -> results beside them. A stack is what it is in an archive, and
// is checked as one of an archive; its verdict is that of the photos that have arrived, so a side
// that is missing keeps it from passing.
#pragma once

#include <atomic>
#include <chrono>
#include <filesystem>
#include <functional>
#include <string>

#include "plumbstack/archive.hpp"
#include "plumbstack/batch.hpp"

namespace plumbstack {

struct WatchOptions {
  std::filesystem::path nets;
  PhotoOptions photo;
  int workers = 1;
  std::chrono::seconds photo_limit{120};  // a stack has so long for each of its photos
  // A file of which the system does not tell that it is whole must not have changed for so long.
  std::chrono::milliseconds quiet{2000};
  bool once = false;  // ends when all that is there is whole and checked
};

/// Called with what is new, one plain line without its end.
using WatchTell = std::function<void(const std::string& line)>;

/// Checks the stacks of the folder as their photos arrive, change or go, and writes what `batch`
/// writes of a stack into kResultFolder in the stack's folder, all of it under temporary names
/// first. What was checked before from the same photos, pack and version is not checked again. Ends
/// when `stop` is set and the stacks at hand are done.
/// @param pack the definition of every stack that has none of its own
/// @return how the stacks stand that are there at the end
/// Errors: as of load_pack and read_archive, at the start only; model_missing; usage where another
/// process watches the folder; with `once` output_unwritable.
Result<BatchCounts> watch_folder(const std::filesystem::path& root,
                                 const std::filesystem::path& pack, const WatchOptions& options,
                                 const std::atomic<bool>& stop, const WatchTell& tell);

}  // namespace plumbstack
