#include "plumbstack/base/utf8.hpp"

namespace plumbstack {
namespace {

unsigned byte_at(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : 0;
}

// Length of the well-formed sequence that begins at i, 0 where none does (RFC 3629, section 4).
std::size_t sequence_length(std::string_view text, std::size_t i) {
  const unsigned a = byte_at(text, i), b = byte_at(text, i + 1);
  const auto tail = [&](std::size_t k) { return (byte_at(text, i + k) & 0xC0) == 0x80; };
  if (a < 0x80) return 1;
  if (a >= 0xC2 && a <= 0xDF) return tail(1) ? 2 : 0;
  if (a >= 0xE0 && a <= 0xEF) {
    const bool overlong = a == 0xE0 && b < 0xA0, surrogate = a == 0xED && b > 0x9F;
    return tail(1) && tail(2) && !overlong && !surrogate ? 3 : 0;
  }
  if (a >= 0xF0 && a <= 0xF4) {
    const bool overlong = a == 0xF0 && b < 0x90, beyond = a == 0xF4 && b > 0x8F;
    return tail(1) && tail(2) && tail(3) && !overlong && !beyond ? 4 : 0;
  }
  return 0;
}

}  // namespace

std::size_t first_not_utf8(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text, i);
    if (length == 0) return i;
    i += length;
  }
  return std::string_view::npos;
}

bool has_control(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const unsigned a = byte_at(text, i);
    if ((a < 0x20 && a != '\t') || a == 0x7F) return true;
    if (a == 0xC2 && byte_at(text, i + 1) < 0xA0) return true;  // U+0080 to U+009F
  }
  return false;
}

}  // namespace plumbstack
