// Files that belong together, on their way into a folder: all of them arrive, or none.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// Two steps, so that a failure leaves nothing behind: `add` writes under a hidden name, `commit`
/// flushes to the disk and renames, in the order in which the files were added. What was not
/// committed is taken away with the object.
class StagedFiles {
 public:
  explicit StagedFiles(std::filesystem::path folder) : folder_(std::move(folder)) {}
  StagedFiles(const StagedFiles&) = delete;
  StagedFiles& operator=(const StagedFiles&) = delete;
  ~StagedFiles();

  /// Error: output_unwritable.
  Result<void> add(const std::string& name, std::string_view bytes);
  /// The hidden name under which the caller writes a file that is too large to be held at once.
  std::filesystem::path reserve(const std::string& name);
  /// Where one file can't be renamed those already renamed are removed. Error: output_unwritable.
  Result<void> commit();

 private:
  std::filesystem::path part(const std::string& name) const;

  std::filesystem::path folder_;
  std::vector<std::string> names_;
};

/// Renames an older NAME.EXT in the folder to NAME.previous.EXT, so that a run that fails does not
/// leave it in place as if it were the new one. Error: output_unwritable.
Result<void> retire_file(const std::filesystem::path& folder, const std::string& name);

}  // namespace plumbstack
