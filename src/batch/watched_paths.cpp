#include "watched_paths.hpp"

#include <algorithm>

#include "outputs.hpp"

namespace plumbstack {

namespace fs = std::filesystem;

fs::path results_of(const fs::path& root, const std::string& stack) {
  return (root / stack / kResultFolder).lexically_normal();
}

bool lie_elsewhere(const fs::path& root, const fs::path& results) {
  std::error_code error;
  if (fs::is_symlink(results, error)) return true;
  const fs::path top = fs::canonical(root, error), target = fs::weakly_canonical(results, error);
  return error ||
         std::mismatch(top.begin(), top.end(), target.begin(), target.end()).first != top.end();
}

bool out_of_sight(const fs::path& file) {
  std::error_code error;
  return fs::status(file, error).type() == fs::file_type::none;
}

bool is_at_or_below(const std::string& name, const std::string& folder) {
  return folder.empty() || name == folder || name.starts_with(folder + "/");
}

}  // namespace plumbstack
