// A worker's own: the networks, loaded with its first stack.
#pragma once

#include <memory>

#include "parts.hpp"

namespace plumbstack {

class StackCheck {
 public:
  StackCheck(std::filesystem::path root, std::filesystem::path nets, PhotoOptions options)
      : root_(std::move(root)), nets_folder_(std::move(nets)), options_(options) {}

  /// Checks the stack and writes all of it into the folder, the entry last. Errors: model_missing,
  /// output_unwritable.
  Result<void> operator()(const ArchiveStack& stack, PackBook& packs,
                          const std::filesystem::path& folder);

 private:
  std::filesystem::path root_, nets_folder_;
  PhotoOptions options_;
  std::unique_ptr<Nets> nets_;
};

}  // namespace plumbstack
