#pragma once

#include <filesystem>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// Folder of the networks: `asked` if given, else nets/ in $PLUMBSTACK_MODELS, else beside the
/// program (in its source tree or its share folder). Error: model_missing.
Result<std::filesystem::path> find_model_folder(const std::filesystem::path& asked);

}  // namespace plumbstack
