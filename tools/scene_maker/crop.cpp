#include "crop.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "crop_ground.hpp"
#include "crop_legible.hpp"

namespace scene {
namespace {

struct Paint {
  double contrast = 0.5;  // against the plastic, 0..1
  double ink = 0;         // grey, 0..1
  double opacity = 1;
  bool thick = false;  // paint that throws a small shadow
};

cv::Mat written(const LetteringShop& shop, const CropPlan& plan, const Writer& writer, Dice& dice) {
  cv::Mat mask = shop.draw(plan.text, kDrawn, writer, dice);
  if (mask.empty()) return mask;
  if (plan.turn == 1) cv::rotate(mask, mask, cv::ROTATE_90_CLOCKWISE);
  if (plan.turn == 2) cv::rotate(mask, mask, cv::ROTATE_180);
  if (plan.turn == 3) cv::rotate(mask, mask, cv::ROTATE_90_COUNTERCLOCKWISE);
  return mask;
}

Paint any_paint(const Writer& writer, double level, Dice& dice) {
  Paint p;
  const double how = dice.uniform(0, 1);
  p.contrast = how < 0.72  ? dice.uniform(0.3, 0.9)
               : how < 0.9 ? dice.uniform(0.16, 0.35)
                           : dice.uniform(0.08, 0.18);
  // Ink that is half missing must show by what is left of it.
  if (writer.ink.fade > 0.4 || writer.ink.patchy > 0.6 || writer.ink.rim > 0.6 ||
      writer.pen.width < 0.06)
    p.contrast = std::max(p.contrast, dice.uniform(0.25, 0.5));
  const double room_up = 0.98 - level, room_down = level - 0.03;
  bool lighter = dice.chance(level > 0.5 ? 0.12 : 0.85);
  if ((lighter ? room_up : room_down) < p.contrast) lighter = room_up > room_down;
  p.contrast = std::min(p.contrast, lighter ? room_up : room_down);
  p.ink = lighter ? level + p.contrast : level - p.contrast;
  p.opacity = dice.uniform(0.85, 1);
  p.thick = dice.chance(0.1);
  return p;
}

void paint_on(cv::Mat& grey, const cv::Mat& alpha, const Paint& paint) {
  if (paint.thick) {
    const cv::Rect from(0, 0, alpha.cols - 2, alpha.rows - 2);
    cv::Mat under = grey(from + cv::Point(2, 2));
    cv::Mat(under.mul(1 - alpha(from) * 0.3)).copyTo(under);
  }
  const cv::Mat a = alpha * paint.opacity;
  grey = grey.mul(1 - a) + a * paint.ink;
}

// The numbers of the modules before and after, cut by the crop's border, by the same hand.
void neighbours(cv::Mat& grey, const Ground& ground, const Frame& f, const LetteringShop& shop,
                const Writer& writer, const Paint& paint, Dice& dice) {
  for (const int side : {0, 1}) {
    // Without a seam between them the numbers would read as one.
    if (ground.seams[static_cast<std::size_t>(side)] <= 0 || !dice.chance(0.7)) continue;
    const cv::Mat mask = shop.draw(any_number(dice).substr(0, 2), kDrawn, writer, dice);
    if (mask.empty()) continue;
    const double scale = f.text_px / kDrawn;
    const double half = (ground.along ? mask.rows : mask.cols) * scale / 2;
    const double past = ground.seams[static_cast<std::size_t>(side)] + half + 0.1 * f.text_px + 4;
    const double away = (side == 0 ? -1 : 1) * std::max(past, ground.pitch);
    const double aside = dice.normal(0.25 * f.text_px);
    const cv::Point2d off =
        ground.along ? cv::Point2d(aside, away) : cv::Point2d(away, aside * 0.6);
    if (std::abs(off.x) > (kCanvas.width + mask.cols * scale) / 2 ||
        std::abs(off.y) > (kCanvas.height + mask.rows * scale) / 2)
      continue;
    const cv::Matx33d grow(scale, 0, 0, 0, scale, 0, 0, 0, 1);
    paint_on(grey, on_canvas(mask, shift(f.centre + off) * grow), paint);
  }
}

// Small moulded or printed writing, far too small for the number.
void small_print(cv::Mat& grey, const LetteringShop& shop, double level, Dice& dice) {
  const Writer writer = shop.writer(LetteringKind::small_print, dice);
  const double height = dice.uniform(9, 17);
  const cv::Mat mask = shop.draw(any_word(dice) + any_number(dice), height, writer, dice);
  if (mask.empty()) return;
  const double edge = dice.pick({-1, 1}) * (kCanvas.height / 2.0 - height * dice.uniform(0.3, 1.2));
  const cv::Point2d at(dice.uniform(0, kCanvas.width), kCanvas.height / 2.0 + edge);
  const double ink = std::clamp(level + dice.normal(0.15), 0.0, 1.0);
  paint_on(grey, on_canvas(mask, shift(at)), {0, ink, dice.uniform(0.4, 0.9), false});
}

// An older word beside the number, by another pen, well apart from it.
void older_writing(cv::Mat& grey, const Frame& f, const LetteringShop& shop, double level,
                   Dice& dice) {
  const Writer other = shop.any_writer(dice);
  const double height = f.text_px * dice.uniform(0.5, 1.1);
  const cv::Mat mask =
      shop.draw(dice.chance(0.5) ? any_word(dice) : any_number(dice), height, other, dice);
  if (mask.empty()) return;
  const double away = (f.width + mask.cols) / 2 + f.text_px * dice.uniform(0.9, 1.6);
  const cv::Point2d at = f.centre + cv::Point2d(dice.pick({-1, 1}) * away, dice.normal(5));
  Paint paint = any_paint(other, level, dice);
  paint.opacity *= dice.uniform(0.3, 1);
  paint_on(grey, on_canvas(mask, shift(at)), paint);
}

// A rod or cable: beside the writing, or, where the crop is to hold no number, through one digit.
void cover(cv::Mat& grey, const CropPlan& plan, const Frame& f, Dice& dice) {
  const bool leftward = dice.chance(0.5);
  const double side = leftward ? -1 : 1;
  if (plan.kind == CropKind::covered) {
    const auto digits = static_cast<int>(plan.text.size());
    const double digit = dice.whole(0, digits - 1) + dice.uniform(0.35, 0.65);
    draw_cover(grey, dice, f.centre.x + (digit / digits - 0.5) * f.width, leftward);
  } else if (dice.chance(0.1)) {
    draw_cover(grey, dice, f.centre.x + side * (f.width / 2 + f.text_px * dice.uniform(0.15, 0.6)),
               leftward);
  }
}

Capture any_capture(CropKind kind, double contrast, Dice& dice) {
  Capture c;
  c.text_px = dice.chance(0.5) ? std::exp(dice.uniform(std::log(9.0), std::log(45.0)))
                               : dice.uniform(16, 45);
  double blur = std::min(0.1, std::abs(dice.normal(0.04)));  // of the text's height
  if (kind != CropKind::blank && dice.chance(0.03)) blur = dice.uniform(0.1, 0.2);
  if (kind == CropKind::unreadable) blur = dice.uniform(0.3, 0.55);
  c.defocus = blur * c.text_px;
  c.motion = dice.chance(0.12) ? dice.uniform(0.03, 0.2) * c.text_px : 0;
  c.motion_angle = dice.uniform(0, 3.14);
  const double noise = std::exp(dice.uniform(std::log(0.002), std::log(0.035)));
  c.noise = std::min(noise, contrast * 0.3);
  if (dice.chance(0.65)) c.jpeg_quality = dice.whole(contrast < 0.2 ? 65 : 35, 96);
  c.sharpen = dice.chance(0.3) ? dice.uniform(0.2, 1.2) : 0;
  return c;
}

CropKind kind_of(Hand hand) {
  switch (hand) {
    case Hand::strokes: return CropKind::hand;
    case Hand::real_digits: return CropKind::real_hand;
    case Hand::stencil: return CropKind::stencil;
    case Hand::stamp: return CropKind::stamp;
    case Hand::font: break;
  }
  return CropKind::font;
}

// Paints the text and says what light and lens leave of it; 0 where there is none.
double write_text(cv::Mat& grey, const cv::Mat& mask, const Frame& f, const CropPlan& plan,
                  const Paint& paint, const Light& light, const Capture& capture) {
  if (mask.empty()) return 0;
  const cv::Mat before = plan.is_number() ? lit(grey, light) : cv::Mat();
  paint_on(grey, on_canvas(mask, f.map), paint);
  if (!plan.is_number()) return 0;
  cv::Mat difference;
  cv::absdiff(lit(grey, light), before, difference);
  return weakest_digit(difference, f, capture, static_cast<int>(plan.text.size()));
}

Ground turned_ground(const Frame& f, Dice& dice) {
  const bool along = dice.chance(0.65);
  Ground ground = draw_ground(dice, kCanvas, along, (along ? f.height : f.width) / 2);
  if (std::abs(f.turn) < 0.01) return ground;
  const cv::Mat turn = cv::getRotationMatrix2D(cv::Point2f(f.centre), -f.turn * 57.2958, 1);
  cv::warpAffine(ground.grey, ground.grey, turn, kCanvas, cv::INTER_LINEAR, cv::BORDER_REFLECT);
  return ground;
}

}  // namespace

Crop draw_crop(const LetteringShop& shop, const Writer& writer, Dice& dice) {
  CropPlan plan = plan_crop(dice);
  if (plan.is_number()) plan.kind = kind_of(writer.hand);
  const cv::Mat mask = written(shop, plan, writer, dice);
  const Frame f = frame_of(mask, plan, dice);
  Ground ground = turned_ground(f, dice);
  cv::Mat& grey = ground.grey;
  const Paint paint = any_paint(writer, ground.level, dice);
  const Light light = any_light(dice, kCanvas);
  const Capture capture = any_capture(plan.kind, paint.contrast, dice);
  if (dice.chance(plan.text.empty() ? 0.4 : 0.02)) draw_fittings(grey, dice, ground.level);
  if (dice.chance(0.12)) small_print(grey, shop, ground.level, dice);
  const double seen = write_text(grey, mask, f, plan, paint, light, capture);
  if (dice.chance(ground.along ? 0.35 : 0.6))
    neighbours(grey, ground, f, shop, writer, paint, dice);
  if (!plan.text.empty() && ground.along && dice.chance(0.08))
    older_writing(grey, f, shop, ground.level, dice);
  cover(grey, plan, f, dice);
  Crop crop;
  crop.pixels =
      photograph(lit(grey, light), f.text_px, capture, {Crop::kWidth, Crop::kHeight}, dice);
  const Legible read = plan.is_number() ? legible(seen, capture) : Legible::yes;
  if (read == Legible::no) plan.kind = CropKind::unreadable;
  crop.label = label_of(plan, read == Legible::hardly);
  return crop;
}

}  // namespace scene
