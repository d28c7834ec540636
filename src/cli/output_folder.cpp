#include "output_folder.hpp"

namespace plumbstack {

namespace fs = std::filesystem;

Result<OutputFolder> OutputFolder::open(const fs::path& folder) {
  std::error_code error;
  const bool made = fs::create_directories(folder, error);
  if (error || !fs::is_directory(folder, error))
    return fail(ErrorCode::output_unwritable, "can't be made a folder; name another one",
                folder.string());
  return OutputFolder(made ? folder : fs::path());
}

OutputFolder::~OutputFolder() {
  std::error_code ignored;
  if (!made_.empty()) fs::remove(made_, ignored);  // refuses a folder that holds something
}

}  // namespace plumbstack
