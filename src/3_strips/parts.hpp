// Steps of cut_strips, each a function of values.
#pragma once

#include <opencv2/core.hpp>

#include "plumbstack/strips.hpp"

namespace plumbstack {

/// Sigma in pixels of the edges that a grey picture (CV_8U) has across its rows, i.e. of steps
/// from one column to the next; a low quantile, as a shadow's edge is soft in a sharp photo too.
/// 0 = too few edges to tell.
double edge_sigma(const cv::Mat& grey);

/// Share of a strip that lies in patches of clipped white which hide a seam too. White plastic in
/// strong light is clipped as well, yet its grooves and marks stay to be seen.
/// @param cut 8-bit BGR, the strip with `margin_mm` around it
double glare_share(const cv::Mat& cut, double px_per_mm, double margin_mm);

/// Sets exposure, contrast and noise from the strip's grey picture.
void measure_light(const cv::Mat& grey, double px_per_mm, StripFigures& figures);

}  // namespace plumbstack
