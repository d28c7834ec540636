#include <openssl/evp.h>

#include <array>
#include <fstream>
#include <memory>

#include "plumbstack/file_sha256.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack {
namespace {

std::string hex_of(std::span<const unsigned char> digest) {
  static constexpr char kHex[] = "0123456789abcdef";
  std::string text;
  for (const unsigned char byte : digest) {
    text += kHex[byte >> 4];
    text += kHex[byte & 15];
  }
  return text;
}

}  // namespace

std::string sha256_hex(std::span<const std::uint8_t> bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest;
  unsigned length = 0;
  EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr);
  return hex_of({digest.data(), length});
}

std::optional<std::string> file_sha256(const std::filesystem::path& file) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(file, error)) return std::nullopt;
  std::ifstream in(file, std::ios::binary);
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> hash(EVP_MD_CTX_new(),
                                                                     &EVP_MD_CTX_free);
  EVP_DigestInit_ex(hash.get(), EVP_sha256(), nullptr);
  std::array<char, 65536> piece;
  while (in) {
    in.read(piece.data(), piece.size());
    EVP_DigestUpdate(hash.get(), piece.data(), static_cast<std::size_t>(in.gcount()));
  }
  if (!in.eof()) return std::nullopt;
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest;
  unsigned length = 0;
  EVP_DigestFinal_ex(hash.get(), digest.data(), &length);
  return hex_of({digest.data(), length});
}

}  // namespace plumbstack
