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

std::string fixed(double value, int decimals) {
  const double scale = std::pow(10.0, decimals);
  const double tidy = std::round(value * scale) / scale;
  char text[48];
  std::snprintf(text, sizeof text, "%.*f", decimals, tidy == 0 ? 0.0 : tidy);
  return text;
}

}  // namespace plumbstack
