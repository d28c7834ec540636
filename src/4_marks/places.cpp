#include <algorithm>
#include <cmath>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

// In which the network tells a framing (UNITS of tools/train/reader_data.py), and how far it may be
// believed: training never showed it more.
constexpr double kShiftXPx = 8, kShiftYPx = 4, kLogScale = 0.2, kTiltRad = 0.15, kMost = 2.5;

Framing framing_of(const float* told) {
  const auto in_units = [&](int k, double unit) {
    return std::clamp(double(told[k]), -kMost, kMost) * unit;
  };
  return {{in_units(0, kShiftXPx), in_units(1, kShiftYPx)},
          std::exp(in_units(2, kLogScale)),
          in_units(3, kTiltRad) * 180 / CV_PI};
}

}  // namespace

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
  places.framing = framing_of(logits);
  return places;
}

std::string likely_number(const Places& places) {
  std::string text, best;
  double digits_probability = 1, best_probability = 0;
  for (std::size_t k = 0; k < places.digits.size(); ++k) {
    const auto& digits = places.digits[k];
    const auto top = std::max_element(digits.begin(), digits.begin() + 10);
    text += static_cast<char>('0' + (top - digits.begin()));
    digits_probability *= *top;
    const double p = places.length[k + 1] * digits_probability;
    if (p > best_probability) best = text, best_probability = p;
  }
  return best;
}

double probability_of(const std::string& text, const Places& places) {
  if (text.size() >= places.length.size()) return 0;
  double p = places.length[text.size()];
  for (std::size_t k = 0; k < text.size(); ++k)
    p *= places.digits[k][static_cast<std::size_t>(text[k] - '0')];
  return p;
}

}  // namespace plumbstack
