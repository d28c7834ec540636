#include "plumbstack/base/html_text.hpp"

#include <cmath>
#include <cstdio>

namespace plumbstack {

std::string escaped(const std::string& text) {
  std::string out;
  for (char c : text) {
    switch (c) {
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '&': out += "&amp;"; break;
      case '"': out += "&quot;"; break;
      case '\'': out += "&#39;"; break;
      default: out += c;
    }
  }
  return out;
}

std::string base64(std::string_view bytes) {
  static constexpr char kDigits[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const std::size_t n = bytes.size();
  std::string out;
  out.reserve((n + 2) / 3 * 4);
  const auto at = [&](std::size_t i) -> unsigned {
    return i < n ? static_cast<unsigned char>(bytes[i]) : 0u;
  };
  for (std::size_t i = 0; i < n; i += 3) {
    const unsigned three = at(i) << 16 | at(i + 1) << 8 | at(i + 2);
    out += kDigits[three >> 18 & 63];
    out += kDigits[three >> 12 & 63];
    out += i + 1 < n ? kDigits[three >> 6 & 63] : '=';
    out += i + 2 < n ? kDigits[three & 63] : '=';
  }
  return out;
}

std::string fixed(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double tidy = std::round(value * scale) / scale;
  char text[48];
  std::snprintf(text, sizeof text, "%.*f", decimals, tidy == 0 ? 0.0 : tidy);
  return text;
}

}  // namespace plumbstack
