// Which of a strip's writings is its number: candidates, and the column in which the numbers of a
// stack stand.
#pragma once

#include <optional>
#include <vector>

#include "parts.hpp"

namespace plumbstack {

/// A writing, taken one way round.
struct Choice {
  const Writing* writing = nullptr;
  int rotation_deg = 0;
  Reading reading;
  double way = 1;     // probability that it stands this way round
  bool fits = false;  // at a named place
  double along = 0;   // x from the left end, as if at the place of an unturned module
};

/// Where along the strip the numbers of this stack stand, and how widely they are strewn about it.
struct Column {
  double place = 0, spread = 0;  // mm
};

/// By what fits and reads well on all strips; nullopt with fewer than three such writings. Texts of
/// more than `most_digits` are no numbers of modules.
std::optional<Column> column_of(const std::vector<std::vector<Choice>>& strips, double strip_mm,
                                std::size_t most_digits);

/// Probability that a number is read right, from 0 to 1; confidence is what was measured for it.
double number_probability(const NumberEvidence& evidence);

/// How well a writing does as its strip's number; over 0 for what stands at a named place.
double rank(const Choice& choice, const std::optional<Column>& column, double strip_mm,
            std::size_t most_digits);

/// Probability that of all that may be the strip's number it is `best`, one of `choices`. What
/// reads like a number elsewhere is seldom another one, and then the one that stands better in the
/// column is meant. One piece of writing may be found twice; where it reads differently then, only
/// one of both is right.
double share_of(const Choice& best, const std::vector<Choice>& choices,
                const std::optional<Column>& column, std::size_t most_digits);

}  // namespace plumbstack
