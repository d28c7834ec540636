#pragma once

#include <filesystem>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// A folder that the run makes and then does not use is taken away again.
class OutputFolder {
 public:
  /// Error: output_unwritable.
  static Result<OutputFolder> open(const std::filesystem::path& folder);
  /// Of a run that writes nothing.
  static Result<OutputFolder> none() { return OutputFolder({}); }
  OutputFolder(OutputFolder&& other) noexcept : made_(std::move(other.made_)) {
    other.made_.clear();
  }
  OutputFolder& operator=(OutputFolder&&) = delete;
  ~OutputFolder();

 private:
  explicit OutputFolder(std::filesystem::path made) : made_(std::move(made)) {}
  std::filesystem::path made_;  // empty = was there before
};

}  // namespace plumbstack
