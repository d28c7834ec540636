#pragma once

#include <string>

#include "plumbstack/batch.hpp"

namespace plumbstack {

/// How a stack stands, in one line: "FL-0142: fix: ...".
std::string watch_line(const BatchEntry& entry);

}  // namespace plumbstack
