// Dots, not bars: what matters is the difference between blocks, which a scale from zero would
// hide.
#include <algorithm>
#include <cmath>

#include "plumbstack/base/html_text.hpp"
#include "sheet_parts.hpp"

namespace plumbstack {
namespace {

// mm
constexpr double kHeight = 78, kLeft = 20, kRight = 184, kTop = 12, kBottom = 64;
constexpr double kMostTicks = 6, kMostLabels = 40;

struct Scale {
  double low, high, step;  // Ah
  int decimals;
  double y(double value) const { return kBottom - (kBottom - kTop) * (value - low) / (high - low); }
};

// A step of 1, 2 or 5 times a power of ten that gives at most kMostTicks.
Scale scale_of(double low, double high) {
  const double span = std::max(high - low, 1e-3);
  double step = std::pow(10, std::floor(std::log10(span / kMostTicks)));
  for (const double times : {2.0, 2.5, 2.0})
    if (span / step > kMostTicks) step *= times;
  const int decimals = std::max(0, static_cast<int>(std::ceil(-std::log10(step) - 1e-9)));
  return {std::floor(low / step - 0.25) * step, std::ceil(high / step + 0.25) * step, step,
          decimals};
}

std::vector<double> planned_sums(const Plan& plan) {
  std::vector<double> sums;
  for (const PlannedBlock& block : plan.blocks)
    if (block.full) sums.push_back(block.capacity_sum_ah);
  return sums;
}

void draw_scale(const Scale& scale, Drawing& drawing) {
  const int ticks = static_cast<int>(std::lround((scale.high - scale.low) / scale.step));
  for (int i = 0; i <= ticks; ++i) {
    const double value = scale.low + i * scale.step, y = scale.y(value);
    drawing.shapes.push_back(Line{kLeft, y, kRight, y, {0.12, 0, kGrey}});
    drawing.shapes.push_back(Text{kLeft - 2, y, fixed(value, scale.decimals), 3.2, Align::right});
  }
  drawing.shapes.push_back(Line{kLeft, kTop, kLeft, kBottom, {0.3, 0, kBlack}});
}

void draw_key(Drawing& drawing) {
  const double y = 4;
  drawing.shapes.push_back(
      Text{0, y, "Sum of capacity of each full block, Ah", 3.6, Align::left, true});
  drawing.shapes.push_back(Disc{112, y, 1.5, kBlack, {0.3, 0, kBlack}});
  drawing.shapes.push_back(Text{115, y, "as planned", 3.4});
  drawing.shapes.push_back(Disc{146, y, 1.3, kWhite, {0.4, 0, kGrey}});
  drawing.shapes.push_back(Text{149, y, "as listed", 3.4});
}

}  // namespace

Drawing capacity_plot(const Plan& plan) {
  const std::vector<double> after = planned_sums(plan);
  Drawing drawing{kContentWidth, kHeight, "Sum of capacity of each full block", {}};
  if (after.empty()) return drawing;
  std::vector<double> all = after;
  all.insert(all.end(), plan.before_ah.begin(), plan.before_ah.end());
  const auto [low, high] = std::minmax_element(all.begin(), all.end());
  const Scale scale = scale_of(*low, *high);
  draw_key(drawing);
  const auto [least, most] = std::minmax_element(after.begin(), after.end());
  const double top = scale.y(*most) - 0.4, bottom = scale.y(*least) + 0.4;
  drawing.shapes.push_back(
      Box{kLeft, top, kRight - kLeft, bottom - top, {0.85, 0.85, 0.84}, {0, 0, kBlack}});
  draw_scale(scale, drawing);
  const double pitch = (kRight - kLeft) / static_cast<double>(after.size());
  const std::size_t every =
      static_cast<std::size_t>(std::ceil(static_cast<double>(after.size()) / kMostLabels));
  for (std::size_t i = 0; i < after.size(); ++i) {
    const double x = kLeft + pitch * (static_cast<double>(i) + 0.5);
    drawing.shapes.push_back(Disc{x, scale.y(plan.before_ah[i]), 1.3, kWhite, {0.4, 0, kGrey}});
    drawing.shapes.push_back(Disc{x, scale.y(after[i]), 1.5, kBlack, {0.3, 0, kBlack}});
    if (i % every == 0)
      drawing.shapes.push_back(Text{x, kBottom + 4, std::to_string(i + 1), 3.2, Align::middle});
  }
  drawing.shapes.push_back(
      Text{(kLeft + kRight) / 2, kBottom + 10, "block, from slot 1 on", 3.4, Align::middle});
  return drawing;
}

}  // namespace plumbstack
