// Where along the stack each strip lies, more finely than its borders are seen.
#pragma once

#include <optional>
#include <vector>

#include "strip_rows.hpp"

namespace plumbstack {

/// Middle of a strip along y in mm of the view.
struct Centre {
  double mm = 0;
  bool measured = false;  // false: only its rough borders say so
};

/// `ways` as Stagger::way.
std::vector<Centre> measure_centres(const cv::Mat& photo, const PlaneView& view,
                                    const std::vector<RoughStrip>& strips,
                                    const std::vector<int>& ways, double strip_mm,
                                    const CoverTest& covered);

/// Gap behind each strip but the last, mm beyond the pitch: how much further apart two middles are
/// than usual, on top of the gap that is usual between the rough borders. nullopt: not measured,
/// and the borders leave more open than they are good for.
std::vector<std::optional<double>> gaps_between(const std::vector<Centre>& centres,
                                                const std::vector<RoughStrip>& strips,
                                                double spacer_mm);

}  // namespace plumbstack
