#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace plumbstack {

/// Bytes of a regular file; nullopt where there is none or it can't be read.
std::optional<std::string> whole_file(const std::filesystem::path& file);

}  // namespace plumbstack
