#pragma once

#include <string_view>

namespace plumbstack {

/// Place of the first byte that is no well-formed UTF-8 (RFC 3629), npos where all of it is.
std::size_t first_not_utf8(std::string_view text);

/// True where a C0 or C1 control character other than a tab is in the (well-formed) text.
bool has_control(std::string_view text);

}  // namespace plumbstack
