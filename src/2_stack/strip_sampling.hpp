// Parts of the photo as change of log brightness along a direction: the raw matter of StripRows.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/stack.hpp"

namespace plumbstack {

/// A photo that is finer than the samples, averaged down so that fine texture does not alias.
struct Source {
  cv::Mat pixels;
  double shrink = 1;
};
Source averaged(const cv::Mat& photo, double photo_px_per_sample);

/// Samples in stack mm: sample i of row j lies at origin + i * along + j * across.
struct Lattice {
  cv::Point2d origin, along, across;
  int samples = 1, rows = 1;
};
cv::Mat cut(const Source& source, const PlaneView& view, const Lattice& lattice);

/// Means of `sub` rows each, as log brightness, sample by sample.
std::vector<float> log_bands(const cv::Mat& pixels, int sub);

/// Slope of the levels (`values` to a sample) per mm, smoothed by a Gaussian of 0.8 samples.
void slope(const std::vector<float>& level, int values, double px_per_mm, float* out);

/// Strokes and specks weigh no more than the module's own strong edges.
void clip(float* values, int count);

}  // namespace plumbstack
