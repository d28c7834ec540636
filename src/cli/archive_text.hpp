// What batch and watch say alike.
#pragma once

#include <string>

#include "plumbstack/batch.hpp"

namespace plumbstack {

extern const char* const kArchiveCaution;

/// "1 stack", "2 stacks".
std::string many(std::size_t count, const char* what);
/// "3 stacks: 1 pass, ..." with its end.
std::string counts_text(const BatchCounts& counts);
ExitCode exit_code_of(const BatchCounts& counts);
/// As many as asked for; 0 = one a core.
int workers_or_cores(int asked);

}  // namespace plumbstack
