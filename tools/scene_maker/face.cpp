// One moulded face is drawn once for the stack (panels, ribs, brackets), then for each module
// copied, turned half round where the module stands flipped, soiled, marked and written on.
#include "face.hpp"

#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

constexpr double kMargin = 4;  // mm around the strips in the drawing

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
    const double x = dice.uniform(0.05, 0.95) * l, pitch = dice.uniform(1.6, 3.2);
    const bool upright = dice.chance(0.5);
    const double rise = dice.pick({-1.0, 1.0}) * dice.uniform(0.3, 1) * look.relief;
    for (int i = dice.whole(2, 6); i > 0; --i)
      if (upright)
        tile.raise_box({x + i * pitch, t * 0.22, pitch * 0.5, t * 0.56}, rise, 0.4);
      else
        tile.raise_box({x, t * 0.15 + i * pitch, 9, pitch * 0.5}, rise, 0.4);
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

Relief draw_mould(Dice& dice, const SidePlan& plan, const Look& look, double scale) {
  Relief tile({plan.strip, plan.thickness}, scale, look.plastic);
  if (plan.kind == "terminal")
    terminal_ribs(dice, plan, look, tile);
  else
    long_panels(dice, plan, look, tile);
  furniture(dice, plan, look, tile);
  const double edge = dice.uniform(0.2, 0.8);  // chamfer
  cv::Mat frame = cv::Mat::zeros(tile.height.size(), CV_32F);
  cv::rectangle(frame, {0, 0}, {frame.cols - 1, frame.rows - 1}, cv::Scalar(-1.2 * edge),
                std::max(1, static_cast<int>(edge * scale)));
  tile.height += frame;
  return tile;
}

void draw_sign_shape(Relief& tile, cv::Point2d at, double size, double bar, char sign, bool raised,
                     const cv::Scalar& ink, double rise) {
  const cv::Rect2d across(at.x - size / 2, at.y - bar / 2, size, bar);
  const cv::Rect2d upright(at.x - bar / 2, at.y - size / 2, bar, size);
  const auto lay = [&](const cv::Rect2d& box) {
    if (raised)
      tile.raise_box(box, rise, bar * 0.2);
    else
      tile.fill_box(box, ink, bar * 0.2);
  };
  if (sign == '+') lay(upright);
  lay(across);
}

struct StackStyle {  // choices made once for the stack, so that all modules agree
  double sign_bar, sign_rise, ring_width, pad_size;
  bool pads, minus_turned;
};

StackStyle choose_style(Dice& dice, const SidePlan& plan) {
  StackStyle s{};
  s.sign_bar = dice.uniform(0.8, 1.9);
  s.sign_rise = dice.pick({-1.0, 1.0}) * dice.uniform(0.35, 1.1);
  s.minus_turned = dice.chance(0.35);
  s.ring_width = dice.uniform(0.6, 1.2);
  s.pads = plan.kind == "terminal" && dice.chance(0.6);
  s.pad_size = plan.thickness * dice.uniform(0.5, 0.85);
  return s;
}

void draw_sign(const Look& look, const StackStyle& style, Relief& tile, cv::Point2d at, char sign) {
  const bool raised = look.sign == SignStyle::moulded || look.sign == SignStyle::bare_moulded;
  const bool circle = look.sign == SignStyle::moulded || look.sign == SignStyle::printed;
  const double size = look.sign_size * (circle ? 0.62 : 0.85);
  const double rise = style.sign_rise * look.relief;
  if (circle && raised) tile.raise_ring(at, look.sign_size / 2, style.ring_width, rise);
  if (circle && !raised) tile.fill_ring(at, look.sign_size / 2, style.ring_width, look.sign_ink);
  if (sign == '-' && style.minus_turned) {
    const cv::Rect2d box(at.x - style.sign_bar / 2, at.y - size / 2, style.sign_bar, size);
    if (raised)
      tile.raise_box(box, rise, style.sign_bar * 0.2);
    else
      tile.fill_box(box, look.sign_ink, style.sign_bar * 0.2);
  } else {
    draw_sign_shape(tile, at, size, style.sign_bar, sign, raised, look.sign_ink, rise);
  }
}

cv::Scalar mark_color(const SidePlan& plan, char sign, Dice& dice) {
  if (sign == '+') return dice.near_color({35, 30, 205}, 8);
  return plan.minus_color == "blue" ? dice.near_color({190, 70, 25}, 8)
                                    : dice.near_color({25, 25, 25}, 4);
}

void draw_terminal(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
                   Relief& tile, const MarkAt& mark) {
  const cv::Point2d at(mark.x, mark.y);
  const char sign = mark.kind == 'P' ? '+' : '-';
  const bool coloured = plan.red_plus && (sign == '+' || plan.coloured_minus);
  const double reach = std::min(style.pad_size, plan.thickness * 0.9);
  const cv::Scalar pad =
      coloured ? mark_color(plan, sign, dice) : shaded(look.plastic, style.pads ? 0.7 : 0.85);
  if (style.pads) {
    tile.fill_box({at.x - reach / 2, at.y - reach / 2, reach, reach}, pad, 1);
    tile.raise_box({at.x - reach / 2, at.y - reach / 2, reach, reach}, 0.6, 1);
  } else if (coloured) {
    tile.fill_ring(at, reach / 2, reach * 0.2, pad);
  } else {
    tile.raise_disc(at, reach / 2, 1.0);
  }
  tile.fill_disc(at, 3.6, cv::Scalar(70, 80, 90));
}

void draw_face_sign(Dice& dice, const SidePlan& plan, const Look& look, const StackStyle& style,
                    Relief& tile, const MarkAt& mark) {
  if (look.metal_pads)
    tile.fill_box({mark.x - 8, mark.y - 6, 16, 12}, dice.near_color({190, 190, 190}, 12), 1);
  draw_sign(look, style, tile, {mark.x, mark.y}, mark.kind);
  if (plan.kind != "terminal" && plan.red_plus && mark.kind == '+')
    tile.fill_disc({mark.x + dice.normal(1.2), mark.y + dice.normal(1.2)}, dice.uniform(1.6, 3.6),
                   mark_color(plan, '+', dice));
}

void draw_vent(Dice& dice, const SidePlan& plan, const Look& look, Relief& tile, cv::Point2d at) {
  const double r = look.vent_radius;
  switch (look.vent) {
    case VentStyle::tube:
      tile.raise_disc(at, r, 1.2);
      tile.raise_disc(at, r * 0.72, 1.8);
      break;
    case VentStyle::ring:
      tile.fill_disc(at, r * 0.85, look.vent_color);
      tile.raise_disc(at, r * 0.85, 1);
      tile.fill_disc(at, r * 0.35, dice.near_color({40, 40, 40}, 10));
      break;
    case VentStyle::grille: {
      const double w = std::min(16.0, plan.strip * 0.08), h = std::min(plan.thickness * 0.5, 9.0);
      tile.raise_box({at.x - w / 2, at.y - h / 2, w, h}, 0.8, 0.5);
      for (int i = 0; i < 4; ++i)
        tile.fill_box({at.x - w / 2 + w * (i + 0.7) / 5, at.y - h * 0.35, w * 0.08, h * 0.7},
                      cv::Scalar(15, 15, 15));
      break;
    }
    case VentStyle::plate:
      tile.fill_box({at.x - r * 1.1, at.y - r * 0.75, 2.2 * r, 1.5 * r}, look.vent_color, r * 0.7);
      tile.raise_box({at.x - r * 1.1, at.y - r * 0.75, 2.2 * r, 1.5 * r}, 0.9, r * 0.7);
      tile.raise_disc(at, r * 0.4, 0.2);
      tile.fill_disc(at, r * 0.22, cv::Scalar(20, 20, 20));
      break;
  }
}

void soil(Dice& dice, const Look& look, Relief& tile) {
  cv::Mat dirt = smooth_noise(dice, tile.color.size(), dice.uniform(20, 120), 4);
  const double strength = 0.16 * look.dirt;
  const bool rusty = look.rust > 0 && dice.chance(0.6);
  cv::Mat rust;
  if (rusty) rust = smooth_noise(dice, tile.color.size(), dice.uniform(10, 60), 4, 0.7);
  const double edge = dice.uniform(0.25, 0.6), end_bias = dice.uniform(0, 0.5);
  for (int y = 0; y < tile.color.rows; ++y)
    for (int x = 0; x < tile.color.cols; ++x) {
      cv::Vec3b& p = tile.color.at<cv::Vec3b>(y, x);
      const double f = 1 + strength * dirt.at<float>(y, x);
      double a = 0;
      if (rusty) {
        const double towards_end = std::abs(2.0 * x / tile.color.cols - 1);
        a = std::clamp((rust.at<float>(y, x) - edge + end_bias * (towards_end - 0.6)) * 3, 0.0,
                       0.8) *
            look.rust;
      }
      static const double kRust[3] = {45, 85, 150};
      for (int c = 0; c < 3; ++c)
        p[c] = cv::saturate_cast<uchar>((p[c] * f) * (1 - a) + kRust[c] * a);
    }
  const int specks = static_cast<int>(look.dust * dice.uniform(0, 60));
  for (int i = 0; i < specks; ++i)
    tile.fill_disc({dice.uniform(0, 1) * tile.color.cols / tile.px_per_mm,
                    dice.uniform(0, 1) * tile.color.rows / tile.px_per_mm},
                   dice.uniform(0.1, 0.5), dice.near_color({170, 170, 170}, 30));
}

cv::Size2d write_on(Dice& dice, const Look& look, Relief& tile, const Writing& w,
                    const DrawText& draw) {
  const double mask_scale = std::max(tile.px_per_mm * 1.5, 3.0);
  cv::Mat mask = draw(w.text, w.height * mask_scale);
  if (mask.empty()) return {};
  // Nobody writes over the strip's edge: what would not fit is written smaller.
  const bool lengthwise = w.rotation_deg % 180 == 0;
  const double room = tile.color.rows / tile.px_per_mm - 1.5;
  const double across = (lengthwise ? mask.rows : mask.cols) / mask_scale +
                        2 * std::abs(w.y - tile.color.rows / tile.px_per_mm / 2);
  if (across > room) {
    cv::resize(mask, mask, {}, room / across, room / across, cv::INTER_AREA);
  }
  const cv::Size2d mm(mask.cols / mask_scale, mask.rows / mask_scale);
  if (w.sequence && look.number_labels) {
    const bool along = w.rotation_deg % 180 == 0;
    const double bw = (along ? mm.width : mm.height) + 5, bh = (along ? mm.height : mm.width) + 3;
    tile.fill_box({w.x - bw / 2, w.y - bh / 2, bw, bh}, dice.near_color(look.label_color, 5), 0.5);
  }
  tile.ink(mask, mask_scale, {w.x, w.y}, w.rotation_deg + w.tilt_deg,
           w.sequence ? look.ink : look.capacity_ink, look.ink_opacity * dice.uniform(0.88, 1));
  return mm;
}

Relief recoloured(Dice& scene_dice, const Look& look, const Module& module, const Relief& mould) {
  Dice own(module.plastic.value_or(0));
  Dice& dice = module.plastic ? own : scene_dice;
  Relief tile = mould;
  tile.color = mould.color.clone();
  tile.height = mould.height.clone();
  tile.gloss = mould.gloss.clone();
  const double f = 1 + dice.normal(look.plastic_spread) / 100;
  cv::Scalar cast(f + dice.normal(0.006), f + dice.normal(0.006), f + dice.normal(0.006));
  if (look.mixed_plastics && dice.chance(0.25))
    cast = cv::Scalar(dice.uniform(0.7, 1.1), dice.uniform(0.8, 1.15), dice.uniform(0.9, 1.2));
  cv::multiply(tile.color, cast, tile.color);
  return tile;
}

// Lays one strip into the whole drawing at its sub-pixel place.
void paste(const Relief& tile, cv::Point2d at_mm, double inset, FaceDrawing& into) {
  const double s = tile.px_per_mm;
  const cv::Point2d at = (at_mm - into.origin_mm) * s;
  const int x0 = static_cast<int>(std::floor(at.x)) - 1,
            y0 = static_cast<int>(std::floor(at.y)) - 1;
  const cv::Rect roi = cv::Rect(x0, y0, tile.color.cols + 3, tile.color.rows + 3) &
                       cv::Rect({}, into.relief.color.size());
  const cv::Matx23d move(1, 0, at.x - roi.x, 0, 1, at.y - roi.y);
  cv::Mat alpha = cv::Mat::zeros(tile.color.size(), CV_8U), color, height, laid;
  const int dy = std::max(0, static_cast<int>(std::lround(inset * s)));
  cv::rectangle(alpha, cv::Rect(0, dy, alpha.cols, std::max(1, alpha.rows - 2 * dy)),
                cv::Scalar(255), cv::FILLED);
  cv::warpAffine(tile.color, color, move, roi.size(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::warpAffine(tile.height, height, move, roi.size(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  cv::warpAffine(alpha, laid, move, roi.size(), cv::INTER_LINEAR);
  cv::Mat onto = into.relief.color(roi), tall = into.relief.height(roi), solid = into.solid(roi);
  for (int y = 0; y < roi.height; ++y)
    for (int x = 0; x < roi.width; ++x) {
      const double a = laid.at<uchar>(y, x) / 255.0;
      if (a <= 0) continue;
      cv::Vec3b& p = onto.at<cv::Vec3b>(y, x);
      const cv::Vec3b& q = color.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = cv::saturate_cast<uchar>(p[c] * (1 - a) + q[c] * a);
      float& h = tall.at<float>(y, x);
      h = static_cast<float>(h * (1 - a) + height.at<float>(y, x) * a);
      solid.at<uchar>(y, x) = std::max(solid.at<uchar>(y, x), laid.at<uchar>(y, x));
    }
}

// The groove between two strips: dark, with cogs or dimples, or a spacer.
void fill_grooves(Dice& dice, const SidePlan& plan, const Look& look, FaceDrawing& drawing) {
  Relief& r = drawing.relief;
  const double cog = dice.uniform(3, 9), tooth = dice.uniform(0.3, 0.7),
               wide = dice.uniform(0.8, 2.2);
  const cv::Scalar spacer = dice.near_color(shaded(look.plastic, dice.uniform(0.3, 1.1)), 8);
  const cv::Point2d o = drawing.origin_mm;
  for (std::size_t k = 0; k + 1 < plan.stack.size(); ++k) {
    const double from = plan.stack[k].top + plan.thickness, to = plan.stack[k + 1].top;
    const cv::Rect2d groove(-o.x, from - 1.2 - o.y, plan.strip, to - from + 2.4);
    r.fill_box(groove, look.seam);
    r.raise_box(groove, -2.0);
    cv::Mat(drawing.solid,
            cv::Rect(cv::Point(groove.tl() * r.px_per_mm), cv::Point(groove.br() * r.px_per_mm)) &
                cv::Rect({}, drawing.solid.size()))
        .setTo(255);
    if (plan.pitch > plan.thickness + 0.5 && to - from > 0.5)
      r.fill_box({-o.x + plan.strip * 0.04, from - o.y, plan.strip * 0.92, to - from}, spacer);
  }
  if (!look.cogs) return;
  const cv::Scalar tint = shaded(look.plastic, dice.uniform(0.5, 1.15));
  for (std::size_t k = 0; k + 1 < plan.stack.size(); ++k)
    for (double x = 2; x + cog * tooth < plan.strip; x += cog)
      r.fill_box({x - o.x, plan.stack[k].top + plan.thickness - wide / 2 - o.y, cog * tooth, wide},
                 tint);
}

}  // namespace

FaceDrawing draw_face(Dice& dice, const SidePlan& plan, const Look& look,
                      const DrawText& number_text, const DrawText& other_text, double scale) {
  const cv::Size2d size(plan.strip + 2 * kMargin + 16, plan.axis_mm() + 2 * kMargin);
  FaceDrawing drawing{Relief(size, scale, look.seam), {}, {-kMargin - 8, -kMargin}, {}};
  drawing.solid = cv::Mat::zeros(drawing.relief.color.size(), CV_8U);
  ModuleDice of_modules(dice, look);
  const Relief mould = draw_mould(*of_modules, plan, look, scale);
  const StackStyle style = choose_style(*of_modules, plan);
  fill_grooves(dice, plan, look, drawing);
  for (const Module& module : plan.stack) {
    Relief tile = recoloured(dice, look, module, mould);
    if (module.flipped) {
      cv::rotate(tile.color, tile.color, cv::ROTATE_180);
      cv::rotate(tile.height, tile.height, cv::ROTATE_180);
    }
    for (const MarkAt& mark : module.marks) {
      if (mark.kind == 'v')
        draw_vent(dice, plan, look, tile, {mark.x, mark.y});
      else if (mark.kind == 'P' || mark.kind == 'M')
        draw_terminal(dice, plan, look, style, tile, mark);
      else
        draw_face_sign(dice, plan, look, style, tile, mark);
    }
    soil(dice, look, tile);
    std::vector<cv::Size2d>& sizes = drawing.writing_mm.emplace_back();
    for (const Writing& w : module.writings)
      sizes.push_back(write_on(dice, look, tile, w, w.sequence ? number_text : other_text));
    paste(tile, {module.stagger, module.top}, look.seam_inset, drawing);
  }
  return drawing;
}

cv::Mat lit(const Relief& relief, const cv::Vec3d& lamp, const cv::Vec3d& eye, double contrast) {
  cv::Mat smooth, gx, gy, out(relief.color.size(), CV_8UC3);
  cv::GaussianBlur(relief.height, smooth, {}, 0.45 * relief.px_per_mm / 2 + 0.35);
  cv::Sobel(smooth, gx, CV_32F, 1, 0, 3, relief.px_per_mm / 8);
  cv::Sobel(smooth, gy, CV_32F, 0, 1, 3, relief.px_per_mm / 8);
  const cv::Vec3d half = (lamp + eye) / cv::norm(lamp + eye);
  for (int y = 0; y < out.rows; ++y)
    for (int x = 0; x < out.cols; ++x) {
      const double nx = -gx.at<float>(y, x), ny = -gy.at<float>(y, x),
                   n = 1 / std::sqrt(1 + nx * nx + ny * ny);
      const double diffuse = std::max(0.0, (nx * lamp[0] + ny * lamp[1] + lamp[2]) * n);
      const double shine = std::pow(std::max(0.0, (nx * half[0] + ny * half[1] + half[2]) * n), 24);
      const double base = std::max(0.0, lamp[2]);
      const double f = 1 + contrast * (diffuse - base);
      const double add =
          relief.gloss.at<uchar>(y, x) * 0.5 * (shine - std::pow(std::max(0.0, half[2]), 24));
      const cv::Vec3b& p = relief.color.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c)
        out.at<cv::Vec3b>(y, x)[c] = cv::saturate_cast<uchar>(p[c] * f + add);
    }
  return out;
}

}  // namespace scene
