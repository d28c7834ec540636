// The fingerprint of a file, whatever its size.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace plumbstack {

/// As sha256_hex of its bytes, of which few are held at a time; nullopt where it is no regular
/// file or can't be read.
std::optional<std::string> file_sha256(const std::filesystem::path& file);

}  // namespace plumbstack
