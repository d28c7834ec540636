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

struct Calibrations {
  Calibration number, vent, sign;
  double reader_temperature = 1;  // divides the reader's logits
};

/// Errors: model_missing.
Result<Calibrations> load_calibrations(const std::filesystem::path& folder);

}  // namespace plumbstack
