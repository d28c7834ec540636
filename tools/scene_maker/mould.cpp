#include "mould.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

void long_panels(Dice& dice, const SidePlan& plan, const Look& look, Relief& tile) {
  const double l = plan.strip, t = plan.thickness;
  if (dice.chance(0.2)) return;  // a plain face
  const double border = dice.uniform(1.2, 3.2), depth = -dice.uniform(0.3, 1.2) * look.relief;
  const int panels = dice.whole(1, 5);
  const double ridge = dice.uniform(1, 12), inset = dice.chance(0.5) ? 0 : dice.uniform(0, 24);
  const double corner = dice.uniform(0, 3);
  double x = border + inset;
  const double usable = l - 2 * (border + inset) - (panels - 1) * ridge;
  std::vector<double> share;
  double total = 0;
  for (int i = 0; i < panels; ++i) total += share.emplace_back(dice.uniform(0.5, 1.6));
  for (int i = 0; i < panels; ++i) {
    const double width = usable * share[static_cast<std::size_t>(i)] / total;
    tile.raise_box({x, border, width, t - 2 * border}, depth, corner);
    if (dice.chance(0.25))
      tile.raise_box({x + 1, border + 1, width - 2, t - 2 * border - 2}, depth * 0.6, corner);
    x += width + ridge;
  }
}

// Groups of short ribs or slots, brackets with a hole, screws, small code squares: none of them a
// vent.
void furniture(Dice& dice, const SidePlan& plan, const Look& look, Relief& tile) {
  const double l = plan.strip, t = plan.thickness;
  const bool ribs_may_look_like_vents = plan.has_vent && look.vent == VentStyle::grille;
  for (int group = dice.whole(0, 3); group > 0 && !ribs_may_look_like_vents; --group) {
    const double x = dice.uniform(0.05, 0.95) * l, pitch = dice.uniform(1.6, 5);
    const bool upright = dice.chance(0.5);
    const double rise = dice.pick({-1.0, 1.0}) * dice.uniform(0.3, 1) * look.relief;
    const double wide = pitch * dice.uniform(0.3, 0.6);
    const double tall = upright ? t * dice.uniform(0.3, 0.6) : dice.uniform(4, 12);
    const double corner = dice.chance(0.5) ? wide / 2 : 0.4;
    const bool louvre = dice.chance(0.4);  // its floor is of another shade
    const cv::Scalar floor = shaded(look.plastic, dice.uniform(0.45, 1.15));
    for (int i = dice.whole(2, 6); i > 0; --i) {
      const cv::Rect2d slot = upright ? cv::Rect2d(x + i * pitch, (t - tall) / 2, wide, tall)
                                      : cv::Rect2d(x, t * 0.15 + i * pitch, tall, wide);
      tile.raise_box(slot, rise, corner);
      if (louvre) tile.fill_box(slot, floor, corner);
    }
  }
  for (int i = dice.whole(0, 2); i > 0; --i) {  // bracket with a hole
    const double x = dice.uniform(0.15, 0.85) * l, size = t * dice.uniform(0.35, 0.6);
    tile.raise_box({x - size / 2, t / 2 - size / 2, size, size},
                   dice.uniform(0.6, 2.5) * look.relief, 1);
    tile.fill_disc({x, t / 2}, size * dice.uniform(0.12, 0.25), cv::Scalar(18, 18, 20));
    tile.raise_disc({x, t / 2}, size * 0.2, -1);
  }
  for (int i = dice.chance(0.3) ? dice.whole(1, 4) : 0; i > 0; --i) {  // screws
    const cv::Point2d at(dice.uniform(0.04, 0.96) * l, t * dice.uniform(0.3, 0.7));
    const double r = dice.uniform(1.2, 2.6);
    tile.fill_disc(at, r, dice.near_color({150, 150, 150}, 20));
    tile.raise_disc(at, r, 0.6);
    tile.fill_box({at.x - r * 0.8, at.y - r * 0.15, r * 1.6, r * 0.3}, cv::Scalar(60, 60, 60));
    tile.fill_box({at.x - r * 0.15, at.y - r * 0.8, r * 0.3, r * 1.6}, cv::Scalar(60, 60, 60));
  }
  if (dice.chance(0.25)) {  // a domed nut
    const cv::Point2d at(dice.uniform(0.1, 0.9) * l, t * dice.uniform(0.4, 0.6));
    const double r = t * dice.uniform(0.12, 0.3);
    tile.fill_disc(
        at, r,
        dice.near_color(dice.pick({cv::Scalar(170, 170, 170), cv::Scalar(70, 150, 190)}), 15));
    for (double share = 1; share > 0.1; share -= 0.15)
      tile.raise_disc(at, r * share, r * std::sqrt(1 - share * share));
    cv::circle(tile.gloss, at * tile.px_per_mm, static_cast<int>(r * tile.px_per_mm),
               cv::Scalar(255), cv::FILLED);
  }
  if (dice.chance(0.4)) {  // square code
    const double x = dice.uniform(0.2, 0.8) * l, size = std::min(7.0, t * 0.4), cell = size / 9;
    for (int r = 0; r < 9; ++r)
      for (int c = 0; c < 9; ++c)
        if (dice.chance(0.5))
          tile.fill_box({x + c * cell, t * 0.5 - size / 2 + r * cell, cell, cell},
                        shaded(look.plastic, 0.75));
  }
}

void terminal_ribs(Dice& dice, const SidePlan& plan, const Look& look, Relief& tile) {
  const double l = plan.strip, t = plan.thickness;
  const int rows = dice.whole(1, 3);
  const double from = l * dice.uniform(0.02, 0.3), to = l * dice.uniform(0.6, 0.98);
  const double cell = (t - 4) / rows * dice.uniform(0.8, 1.5),
               rise = -dice.uniform(0.4, 1.4) * look.relief;
  if (dice.chance(0.25)) return;
  for (double x = from; x + cell < to; x += cell)
    for (int r = 0; r < rows; ++r)
      tile.raise_box({x + 0.6, 2 + r * (t - 4) / rows + 0.6, cell - 1.2, (t - 4) / rows - 1.2},
                     rise, 0.5);
}

}  // namespace

Relief copy_of(const Relief& relief) {
  Relief copy = relief;
  copy.color = relief.color.clone();
  copy.height = relief.height.clone();
  return copy;
}

Mould draw_mould(Dice& dice, const SidePlan& plan, const Look& look, double scale) {
  Relief tile({plan.strip, plan.thickness}, scale, look.plastic);
  Mould mould{tile, tile};
  if (plan.kind == "terminal") {
    mould.plain = copy_of(tile);
    terminal_ribs(dice, plan, look, tile);
  } else {
    long_panels(dice, plan, look, tile);
    mould.plain = copy_of(tile);
  }
  furniture(dice, plan, look, tile);
  const double edge = dice.uniform(0.2, 0.8);  // chamfer
  cv::Mat frame = cv::Mat::zeros(tile.height.size(), CV_32F);
  cv::rectangle(frame, {0, 0}, {frame.cols - 1, frame.rows - 1}, cv::Scalar(-1.2 * edge),
                std::max(1, static_cast<int>(edge * scale)));
  tile.height += frame;
  mould.plain.height += frame;
  mould.face = tile;
  return mould;
}

}  // namespace scene
