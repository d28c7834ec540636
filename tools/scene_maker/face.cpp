// One moulded face is drawn once for the stack, then for each module copied, turned half round
// where the module stands flipped, soiled, marked and written on.
#include "face.hpp"

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "face_marks.hpp"
#include "mould.hpp"

namespace scene {
namespace {

constexpr double kMargin = 4;  // mm around the strips in the drawing

// Patches of one colour, more of them towards the ends.
void stain(Dice& dice, Relief& tile, const cv::Scalar& bgr, double strength) {
  const cv::Mat noise = smooth_noise(dice, tile.color.size(), dice.uniform(10, 60), 4, 0.7);
  const double edge = dice.uniform(0.25, 0.6), end_bias = dice.uniform(0, 0.9),
               steep = dice.uniform(2, 8);
  for (int y = 0; y < tile.color.rows; ++y)
    for (int x = 0; x < tile.color.cols; ++x) {
      const double towards_end = std::abs(2.0 * x / tile.color.cols - 1);
      const double a =
          strength *
          std::clamp((noise.at<float>(y, x) - edge + end_bias * (towards_end - 0.6)) * steep, 0.0,
                     0.8);
      cv::Vec3b& p = tile.color.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c) p[c] = cv::saturate_cast<uchar>(p[c] * (1 - a) + bgr[c] * a);
    }
}

// Blotches of one colour all over; each module has its own share.
void blotch(Dice& dice, const Look& look, Relief& tile) {
  const cv::Mat noise =
      smooth_noise(dice, tile.color.size(), look.blotch_mm * tile.px_per_mm, 3, 0.6);
  const double edge = dice.uniform(-0.2, 0.3), steep = dice.uniform(1.5, 6),
               strength = look.blotches * dice.uniform(0.2, 1);
  for (int y = 0; y < tile.color.rows; ++y)
    for (int x = 0; x < tile.color.cols; ++x) {
      const double a = strength * std::clamp((noise.at<float>(y, x) - edge) * steep, 0.0, 1.0);
      cv::Vec3b& p = tile.color.at<cv::Vec3b>(y, x);
      for (int c = 0; c < 3; ++c)
        p[c] = cv::saturate_cast<uchar>(p[c] * (1 - a) + look.blotch_color[c] * a);
    }
}

void soil(Dice& dice, const Look& look, Relief& tile) {
  if (look.grain_mm > 0)
    tile.height += look.grain_mm * smooth_noise(dice, tile.height.size(), tile.px_per_mm, 2, 1);
  if (look.blotches > 0) blotch(dice, look, tile);
  const cv::Mat dirt = smooth_noise(dice, tile.color.size(), dice.uniform(20, 120), 4);
  const double strength = 0.16 * look.dirt;
  for (int y = 0; y < tile.color.rows; ++y)
    for (int x = 0; x < tile.color.cols; ++x)
      for (int c = 0; c < 3; ++c) {
        uchar& p = tile.color.at<cv::Vec3b>(y, x)[c];
        p = cv::saturate_cast<uchar>(p * (1 + strength * dirt.at<float>(y, x)));
      }
  if (look.scuffs > 0 && dice.chance(0.6)) stain(dice, tile, look.scuff_color, look.scuffs);
  if (look.rust > 0 && dice.chance(0.6)) stain(dice, tile, look.rust_color, look.rust);
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

Relief turned(const Relief& mould, bool flipped) {
  Relief tile = copy_of(mould);
  if (!flipped) return tile;
  cv::rotate(tile.color, tile.color, cv::ROTATE_180);
  cv::rotate(tile.height, tile.height, cv::ROTATE_180);
  return tile;
}

// Makers leave plain places for signs, and people write where nothing breaks the digits.
void clear_pads(const Look& look, const Module& module, const Relief& mould, Relief& tile) {
  const Relief plain = turned(mould, module.flipped);
  const auto clear = [&](cv::Point2d at, double half_width, double half_height) {
    const double s = tile.px_per_mm;
    const cv::Rect2d box(at.x - half_width, at.y - half_height, 2 * half_width, 2 * half_height);
    const cv::Rect px = cv::Rect(cv::Point(box.tl() * s), cv::Point(box.br() * s)) &
                        cv::Rect({}, tile.color.size());
    plain.color(px).copyTo(tile.color(px));
    plain.height(px).copyTo(tile.height(px));
  };
  for (const MarkAt& mark : module.marks) {
    const double reach = mark.kind == 'v' ? look.vent_radius + 1 : look.sign_size / 2 + 1;
    if (mark.kind != 'P' && mark.kind != 'M') clear({mark.x, mark.y}, reach, reach);
  }
  for (const Writing& w : module.writings) {
    const double along = 0.42 * w.height * static_cast<double>(w.text.size()) + 2,
                 across = 0.5 * w.height + 1;
    const bool lengthwise = w.rotation_deg % 180 == 0;
    clear({w.x, w.y}, lengthwise ? along : across, lengthwise ? across : along);
  }
}

void recolour(Dice& scene_dice, const Look& look, const Module& module, Relief& tile) {
  Dice own(module.plastic.value_or(0));
  Dice& dice = module.plastic ? own : scene_dice;
  const double f = 1 + dice.normal(look.plastic_spread) / 100;
  cv::Scalar cast(f + dice.normal(0.006), f + dice.normal(0.006), f + dice.normal(0.006));
  if (look.mixed_plastics && dice.chance(0.25))
    cast = cv::Scalar(dice.uniform(0.7, 1.1), dice.uniform(0.8, 1.15), dice.uniform(0.9, 1.2));
  cv::multiply(tile.color, cast, tile.color);
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
  const bool open = dice.chance(0.4);  // nothing to see between modules that stand apart
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
    if (!open && plan.pitch > plan.thickness + 0.5 && to - from > 0.5)
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

namespace {

// End plates that could be taken for modules: the same moulding without marks.
void lay_plates(Dice& dice, const SidePlan& plan, const Look& look, const Relief& face,
                FaceDrawing& drawing) {
  for (int end = 0; end < 2; ++end) {
    const Plates& p = *look.plates;
    Relief tile = turned(face, dice.chance(0.5));
    const cv::Size px(cvRound((plan.strip + 2 * p.over) * tile.px_per_mm),
                      cvRound(p.thick * tile.px_per_mm));
    cv::resize(tile.color, tile.color, px, 0, 0, cv::INTER_AREA);
    cv::resize(tile.height, tile.height, px, 0, 0, cv::INTER_AREA);
    cv::Scalar cast;
    for (int c = 0; c < 3; ++c) cast[c] = (p.color[c] + 1) / (look.plastic[c] + 1);
    cv::multiply(tile.color, cast, tile.color);
    soil(dice, look, tile);
    paste(tile, {-p.over, end ? plan.axis_mm() + p.gap[1] : -p.thick - p.gap[0]}, look.seam_inset,
          drawing);
  }
}

}  // namespace

FaceDrawing draw_face(Dice& dice, const SidePlan& plan, const Look& look,
                      const DrawText& number_text, const DrawText& other_text, double scale) {
  const bool plates = look.plates && look.plates->like_modules;
  const double beyond = kMargin + (plates ? look.plates->thick : 0);
  const cv::Size2d size(plan.strip + 2 * kMargin + 16, plan.axis_mm() + 2 * beyond);
  FaceDrawing drawing{Relief(size, scale, look.seam), {}, {-kMargin - 8, -beyond}, {}};
  drawing.solid = cv::Mat::zeros(drawing.relief.color.size(), CV_8U);
  ModuleDice of_modules(dice, look);
  const Mould mould = draw_mould(*of_modules, plan, look, scale);
  const StackStyle style = choose_style(*of_modules, plan);
  fill_grooves(dice, plan, look, drawing);
  if (plates) lay_plates(dice, plan, look, dice.chance(0.5) ? mould.face : mould.plain, drawing);
  for (const Module& module : plan.stack) {
    Relief tile = turned(mould.face, module.flipped);
    if (look.plain_pads) clear_pads(look, module, mould.plain, tile);
    recolour(dice, look, module, tile);
    for (const MarkAt& mark : module.marks) draw_mark(dice, plan, look, style, tile, mark);
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
