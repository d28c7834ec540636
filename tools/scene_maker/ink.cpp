#include "ink.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

// 0..255 to 0..1 and back: the effects multiply, which is easier on floats.
cv::Mat to_float(const cv::Mat& mask) {
  cv::Mat out;
  mask.convertTo(out, CV_32F, 1 / 255.0);
  return out;
}

void clamp01(cv::Mat& m) {
  cv::max(m, 0, m);
  cv::min(m, 1, m);
}

// A second print beside the first, seen where the first is not.
void add_echo(cv::Mat& ink, double offset, Dice& dice) {
  const double angle = dice.uniform(0, 6.2832), strength = dice.uniform(0.25, 0.7);
  const cv::Mat move =
      (cv::Mat_<double>(2, 3) << 1, 0, offset * std::cos(angle), 0, 1, offset * std::sin(angle));
  cv::Mat moved;
  cv::warpAffine(ink, moved, move, ink.size());
  cv::max(ink, moved * strength, ink);
}

// The edge wanders with the noise of the ground: blur, add noise, cut again.
void roughen(cv::Mat& ink, double height, double rough, Dice& dice) {
  cv::Mat wide;
  cv::GaussianBlur(ink, wide, {}, std::max(0.5, 0.035 * height));
  // Where there is no ink near, the noise must not make any.
  const cv::Mat near = cv::min(wide * 3, 1.0);
  const cv::Mat noise = smooth_noise(dice, ink.size(), std::max(1.5, 0.06 * height), 2);
  wide += noise.mul(near) * (0.8 * rough);
  ink = (wide - 0.5) * 4 + 0.5;
  clamp01(ink);
}

void add_overspray(cv::Mat& ink, double height, double strength, Dice& dice) {
  cv::Mat haze;
  const double reach = std::max(1.0, height * dice.uniform(0.04, 0.09));
  cv::GaussianBlur(ink, haze, {}, reach);
  cv::Mat specks(ink.size(), CV_32F);
  cv::RNG fill(static_cast<std::uint64_t>(dice.whole(1, 1 << 30)));
  fill.fill(specks, cv::RNG::UNIFORM, 0.0, 1.0);
  cv::Mat hit = (specks < haze.mul(haze) * (0.6 * strength)) / 255;
  hit.convertTo(hit, CV_32F, dice.uniform(0.3, 0.9));
  if (height > 50) cv::GaussianBlur(hit, hit, {}, height / 90);
  cv::max(ink, haze * (0.4 * strength), ink);
  cv::max(ink, hit, ink);
}

void fade_to_one_side(cv::Mat& ink, double fade, Dice& dice) {
  const double angle = dice.uniform(0, 6.2832), c = std::cos(angle), s = std::sin(angle);
  for (int y = 0; y < ink.rows; ++y)
    for (int x = 0; x < ink.cols; ++x) {
      const double side = c * (double(x) / ink.cols - 0.5) + s * (double(y) / ink.rows - 0.5);
      ink.at<float>(y, x) *= static_cast<float>(1 - fade * std::clamp(0.5 + side * 1.6, 0.0, 0.9));
    }
}

void pale_inside(cv::Mat& ink, double height, double rim) {
  cv::Mat inside;
  cv::GaussianBlur(ink, inside, {}, std::max(0.5, 0.03 * height));
  inside = (inside - 0.6) * 2.5;
  clamp01(inside);
  ink = ink.mul(1 - inside * (0.6 * rim));
}

void leave_bare(cv::Mat& ink, double height, double patchy, Dice& dice) {
  cv::Mat bare = smooth_noise(dice, ink.size(), std::max(3.0, height * dice.uniform(0.08, 0.4)), 2);
  bare = (bare - (0.75 - 0.55 * patchy)) * 5;
  clamp01(bare);
  ink = ink.mul(1 - bare * dice.uniform(0.5, 0.95));
}

}  // namespace

void apply_ink(cv::Mat& mask, double height, const Ink& ink, Dice& dice) {
  cv::Mat work = to_float(mask);
  if (ink.echo > 0) add_echo(work, ink.echo * height, dice);
  if (ink.rough > 0) roughen(work, height, ink.rough, dice);
  if (ink.rim > 0) pale_inside(work, height, ink.rim);
  if (ink.soft > 0) cv::GaussianBlur(work, work, {}, ink.soft * height + 0.3);
  if (ink.patchy > 0) leave_bare(work, height, ink.patchy, dice);
  if (ink.fade > 0) fade_to_one_side(work, ink.fade, dice);
  if (ink.overspray > 0) add_overspray(work, height, ink.overspray, dice);
  work.convertTo(mask, CV_8U, 255);
}

void cut_bridges(cv::Mat& glyph, double height, double gap, bool upright) {
  const int wide = std::max(1, cvRound(gap * height));
  const cv::Rect ink = cv::boundingRect(glyph);
  if (ink.width < 4 * wide || ink.height < 6 * wide) return;  // a dash needs no bridge
  if (upright) {
    glyph(cv::Rect(ink.x + (ink.width - wide) / 2, ink.y, wide, ink.height)).setTo(0);
    return;
  }
  for (const double at : {0.28, 0.72})
    glyph(cv::Rect(ink.x, ink.y + cvRound(ink.height * at) - wide / 2, ink.width, wide)).setTo(0);
}

}  // namespace scene
