#include <algorithm>
#include <cmath>

#include "reader_parts.hpp"

namespace plumbstack {

Places places_of(const float* logits, double temperature) {
  Places places;
  const auto softmax = [&](std::size_t n, double* to) {
    double sum = 0;
    const double top = *std::max_element(logits, logits + n) / temperature;
    for (std::size_t i = 0; i < n; ++i) sum += to[i] = std::exp(logits[i] / temperature - top);
    for (std::size_t i = 0; i < n; ++i) to[i] /= sum;
    logits += n;
  };
  softmax(places.length.size(), places.length.data());
  for (auto& place : places.digits) softmax(place.size(), place.data());
  return places;
}

std::string likely_text(const Places& places) {
  const auto length = static_cast<std::size_t>(
      std::max_element(places.length.begin(), places.length.end()) - places.length.begin());
  std::string text;
  for (std::size_t k = 0; k < length; ++k) {
    const auto& digits = places.digits[k];
    text += static_cast<char>(
        '0' + (std::max_element(digits.begin(), digits.begin() + 10) - digits.begin()));
  }
  return text;
}

double probability_of(const std::string& text, const Places& places) {
  if (text.size() >= places.length.size()) return 0;
  double p = places.length[text.size()];
  for (std::size_t k = 0; k < text.size(); ++k)
    p *= places.digits[k][static_cast<std::size_t>(text[k] - '0')];
  return p;
}

}  // namespace plumbstack
