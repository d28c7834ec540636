// Text and numbers as pages show them.
#pragma once

#include <string>
#include <string_view>

namespace plumbstack {

/// Text made safe between tags and inside double-quoted attributes.
std::string escaped(const std::string& text);

/// RFC 4648, with padding.
std::string base64(std::string_view bytes);

/// Number with fixed decimals; no minus zero.
std::string fixed(double value, int decimals);

}  // namespace plumbstack
