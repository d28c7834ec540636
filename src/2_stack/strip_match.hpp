// How well a strip lies on a pattern of strips, shift by shift, window by window along it.
#pragma once

#include <vector>

#include "strip_rows.hpp"

namespace plumbstack {

/// Strips moved back by their shifts, so that the same place of every module has the same index.
/// What is hidden is zero, which says nothing.
struct AlignedStrips {
  cv::Mat change;  // as StripRows
  cv::Mat hidden;
};
AlignedStrips align(const StripRows& rows, const std::vector<double>& shifts_mm);

/// Modules stand in two ways, end for end; each way has its own look.
struct Patterns {
  cv::Mat of_class[2];  // CV_32F, 1 x samples * kValues; robust mean of the strips of a class
  cv::Mat others;       // CV_32F, a row a strip: its class's mean without the strip itself, or the
                        // strip's own noise would hold it in place
};
Patterns make_patterns(const AlignedStrips& strips, const std::vector<int>& classes);

/// Overlapping windows along a strip, each of two blocks.
struct Windows {
  int first = 0;  // sample at which the first block starts
  int block = 1;  // samples in a block
  int count = 0;  // of windows
};
Windows lay_windows(const StripRows& rows, double strip_mm);

struct Scores {
  int windows = 0, reach = 0;      // shifts from -reach to reach samples
  std::vector<float> correlation;  // windows x (2 reach + 1)
  std::vector<float> independent;  // of a window: values that are not hidden and not each other's
                                   // shade or neighbour
  std::vector<float> seen;         // of a window: share that is not hidden

  int shifts() const { return 2 * reach + 1; }
  float at(int window, int shift) const {
    return correlation[static_cast<std::size_t>(window * shifts() + shift + reach)];
  }
  /// Log likelihood, its unknown contrast and noise at their best: -n/2 log(1 - correlation^2).
  double log_likelihood(int window, int shift) const;
};
/// `strip` and `pattern`: samples * kValues; `hidden`: samples.
Scores score(const float* strip, const std::uint8_t* hidden, const float* pattern,
             const Windows& windows, int samples, int reach);

/// The correlation that strips of a class usually have in each window where they lie now. Noise and
/// dirt do not match another strip's: what a class never shows says nothing.
std::vector<double> usual_correlations(const std::vector<Scores>& scores,
                                       const std::vector<int>& classes, int which);

}  // namespace plumbstack
