// Where along the stack each strip lies, more finely than its borders are seen.
#pragma once

#include <vector>

#include "strip_rows.hpp"

namespace plumbstack {

/// Middle of each strip along y in mm of the view; `ways` as Stagger::way.
std::vector<double> measure_centres(const cv::Mat& photo, const PlaneView& view,
                                    const std::vector<RoughStrip>& strips,
                                    const std::vector<int>& ways, double strip_mm,
                                    const CoverTest& covered);

/// Gap behind each strip but the last, mm beyond the pitch: how much further apart two middles are
/// than usual, on top of the gap that is usual between the rough borders.
std::vector<double> gaps_between(const std::vector<double>& centres,
                                 const std::vector<RoughStrip>& strips, double spacer_mm);

}  // namespace plumbstack
