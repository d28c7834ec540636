// Text and numbers as pages show them.
#pragma once

#include <string>

namespace plumbstack {

/// Text made safe between tags and inside double-quoted attributes.
std::string escaped(const std::string& text);

/// Number with fixed decimals; no minus zero.
std::string fixed(double value, int decimals);

}  // namespace plumbstack
