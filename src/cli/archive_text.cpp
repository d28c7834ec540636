#include "archive_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <thread>

namespace plumbstack {

const char* const kArchiveCaution =
    "Caution, high voltage. Qualified people only, with insulated tools and gloves: service plug\n"
    "out, wait for discharge, prove with a meter that no voltage is there. A pass is of the "
    "photos,\n"
    "and as old as they are.\n";

std::string many(std::size_t count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

std::string counts_text(const BatchCounts& c) {
  return many(c.stacks, "stack") +
         fmt::format(": {} pass, {} to fix, {} to photograph again, {} that could not be checked\n",
                     c.pass, c.fix, c.retake, c.unread);
}

ExitCode exit_code_of(const BatchCounts& c) {
  if (c.unread > 0) return ExitCode::unread;
  return c.fix > 0 ? ExitCode::fix : c.retake > 0 ? ExitCode::retake : ExitCode::pass;
}

int workers_or_cores(int asked) {
  return asked > 0 ? asked : static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
}

}  // namespace plumbstack
