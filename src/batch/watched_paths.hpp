// Where the results of a watched folder lie, and what can be told of files there.
#pragma once

#include <filesystem>
#include <string>

namespace plumbstack {

std::filesystem::path results_of(const std::filesystem::path& root, const std::string& stack);

/// Whether a link would have results written, and older ones taken away, elsewhere: out of the
/// folder, or where those of another stack may lie.
bool lie_elsewhere(const std::filesystem::path& root, const std::filesystem::path& results);

/// Whether it can't be told what lies there: a share may be away for a moment.
bool out_of_sight(const std::filesystem::path& file);

/// @param name, folder of a stack and of a folder, from the root; "" is the root
bool is_at_or_below(const std::string& name, const std::string& folder);

}  // namespace plumbstack
