#pragma once

#include <atomic>

namespace plumbstack {

/// From now on SIGINT and SIGTERM ask the run to end in order; a second one ends it at once.
/// @return set once one has come
const std::atomic<bool>& stop_by_signal();

}  // namespace plumbstack
