#include "whole_file.hpp"

#include <fstream>
#include <iterator>

namespace plumbstack {

std::optional<std::string> whole_file(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::error_code error;
  if (!in || !std::filesystem::is_regular_file(file, error)) return std::nullopt;
  return std::string{std::istreambuf_iterator<char>(in), {}};
}

}  // namespace plumbstack
