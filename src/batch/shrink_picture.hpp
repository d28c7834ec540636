// The small pictures of the page.
#pragma once

#include <filesystem>
#include <string>

namespace plumbstack {

/// "number.annotated.jpg" -> "number.small.jpg".
std::string thumbnail_name(const std::string& picture);
/// The bytes of a JPEG of at most 200 px; empty where the picture can't be read.
std::string thumbnail_of(const std::filesystem::path& picture);

}  // namespace plumbstack
