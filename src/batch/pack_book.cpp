#include <fstream>
#include <iterator>

#include "plumbstack/archive.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

Result<PackFile> read(const std::filesystem::path& file) {
  auto pack = load_pack(file);
  if (!pack) return tl::unexpected(pack.error());
  std::ifstream in(file, std::ios::binary);
  const std::vector<std::uint8_t> bytes((std::istreambuf_iterator<char>(in)), {});
  return PackFile{std::move(*pack), sha256_hex(bytes)};
}

}  // namespace

const Result<PackFile>& PackBook::at(const std::string& file) {
  const auto found = read_.find(file);
  if (found != read_.end()) return found->second;
  return read_.emplace(file, read(file.empty() ? usual_ : root_ / file)).first->second;
}

}  // namespace plumbstack
