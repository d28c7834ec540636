// From a network's score to the measured share of right answers.
#pragma once

#include <filesystem>
#include <utility>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// Score and probability of being right, both rising; measured on scenes not used in training.
struct Calibration {
  std::vector<std::pair<double, double>> rows;

  /// Interpolated, constant beyond the ends; 0 for an empty table.
  double look_up(double score) const;
};

/// Probability that the network's reading is right, over its score, given what a second reader
/// says. Empty tables: never measured, so that nobody is asked.
struct SecondOpinionTables {
  Calibration agrees, silent, disagrees;
};

struct Calibrations {
  Calibration number, vent, sign;
  SecondOpinionTables second;
  double reader_temperature = 1, places_temperature = 1;  // divide the two networks' logits
};

/// Errors: model_missing.
Result<Calibrations> load_calibrations(const std::filesystem::path& folder);

}  // namespace plumbstack
