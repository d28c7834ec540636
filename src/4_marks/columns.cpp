#include <algorithm>
#include <cmath>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

constexpr int kCells = 24, kColumnsPerCell = 2;

std::size_t class_of(char digit) {
  return static_cast<std::size_t>(digit - '0') + 1;
}

}  // namespace

Columns columns_of(const float* logits, double temperature) {
  Columns columns(kCells * kColumnsPerCell);
  for (std::size_t t = 0; t < columns.size(); ++t) {
    const std::size_t cell = t / kColumnsPerCell, first = t % kColumnsPerCell * kClasses;
    double top = -1e9, sum = 0;
    for (std::size_t c = 0; c < kClasses; ++c)
      top = std::max(top, logits[(first + c) * kCells + cell] / temperature);
    for (std::size_t c = 0; c < kClasses; ++c)
      sum += columns[t][c] = std::exp(logits[(first + c) * kCells + cell] / temperature - top);
    for (double& p : columns[t]) p /= sum;
  }
  return columns;
}

std::string likely_text(const Columns& columns) {
  std::string text;
  std::size_t last = 0;
  for (const auto& column : columns) {
    const auto best =
        static_cast<std::size_t>(std::max_element(column.begin(), column.end()) - column.begin());
    if (best != 0 && best != last) text += static_cast<char>('0' + best - 1);
    last = best;
  }
  return text;
}

// Forward recursion over the text with a nothing before, between and after its digits.
double probability_of(const std::string& text, const Columns& columns) {
  const std::size_t states = 2 * text.size() + 1;
  std::vector<double> at(states, 0.0), next(states);
  at[0] = 1;  // as if a column of nothing stood before the first
  for (const auto& column : columns) {
    for (std::size_t s = 0; s < states; ++s) {
      const std::size_t here = s % 2 == 0 ? 0 : class_of(text[s / 2]);
      double sum = at[s] + (s > 0 ? at[s - 1] : 0);
      if (s % 2 == 1 && s > 1 && text[s / 2] != text[s / 2 - 1]) sum += at[s - 2];
      next[s] = sum * column[here];
    }
    std::swap(at, next);
  }
  return at[states - 1] + (states > 1 ? at[states - 2] : 0);
}

}  // namespace plumbstack
