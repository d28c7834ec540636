#include "stack_check.hpp"

#include "plumbstack/nets.hpp"

namespace plumbstack {

Result<void> StackCheck::operator()(const ArchiveStack& stack, PackBook& packs,
                                    const std::filesystem::path& folder) {
  if (!nets_) {
    auto loaded = load_nets(nets_folder_);
    if (!loaded) return tl::unexpected(loaded.error());
    nets_ = std::make_unique<Nets>(std::move(*loaded));
  }
  const auto entry = check_entry(root_, stack, packs, *nets_, options_, folder);
  if (!entry) return tl::unexpected(entry.error());
  return save_entry(folder, *entry);
}

}  // namespace plumbstack
