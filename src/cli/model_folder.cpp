#include "model_folder.hpp"

#include <cstdlib>

namespace plumbstack {

Result<std::filesystem::path> find_model_folder(const std::filesystem::path& asked) {
  namespace fs = std::filesystem;
  if (!asked.empty()) return asked;
  if (const char* models = std::getenv("PLUMBSTACK_MODELS"); models && *models)
    return fs::path(models) / "nets";
  std::error_code error;
  const fs::path bin = fs::read_symlink("/proc/self/exe", error).parent_path();
  // build/PRESET/bin of a source tree, then PREFIX/bin of an installed program.
  for (const char* place : {"../../../models/nets", "../share/plumbstack/nets"})
    if (fs::is_directory(bin / place, error)) return fs::canonical(bin / place, error);
  return fail(ErrorCode::model_missing,
              "the networks are not beside the program; name their folder with --nets",
              bin.string());
}

}  // namespace plumbstack
