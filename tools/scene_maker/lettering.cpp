#include "lettering.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

// Small text is drawn larger and averaged down: widths of whole pixels would be too coarse.
constexpr double kLeastDrawn = 56;  // px

// One place of the person's own bends, the same whenever this digit is written.
Skeleton bent_by(const Skeleton& way, const Writer& w, int sign) {
  if (w.own <= 0) return way;
  Dice own(w.seed * 131 + static_cast<std::uint64_t>(sign));
  Skeleton out = way;
  for (Stroke& stroke : out) {
    const Stroke plain = stroke;
    for (std::size_t i = 0; i < stroke.size(); ++i) {
      if (i > 0 && plain[i] == plain[i - 1])
        stroke[i] = stroke[i - 1];  // corners stay corners
      else
        stroke[i] += cv::Point2d(own.normal(w.own), own.normal(w.own * 0.7));
    }
  }
  return out;
}

double spaced(const Writer& w, double height, Dice& dice) {
  return w.spacing * height * (1 + w.uneven * dice.uniform(-1, 1));
}

void put(cv::Mat& sheet, const Glyph& glyph, double x, double y) {
  const cv::Rect at(cvRound(x - glyph.left), cvRound(y - glyph.top), glyph.mask.cols,
                    glyph.mask.rows);
  const cv::Rect on = at & cv::Rect({}, sheet.size());
  if (on.empty()) return;
  cv::Mat part = sheet(on);
  cv::max(part, glyph.mask(on - at.tl()), part);
}

// Cut to the ink, which reaches `reach` px past the clean letters at most: stray specks are let go.
cv::Mat tight(const cv::Mat& sheet, const cv::Rect& letters, int reach) {
  const cv::Rect near(letters.x - reach, letters.y - reach, letters.width + 2 * reach,
                      letters.height + 2 * reach);
  const cv::Rect ink = cv::boundingRect(sheet > 40) & near;
  if (ink.empty()) return {};
  const cv::Rect roomy(ink.x - 2, ink.y - 2, ink.width + 4, ink.height + 4);
  return sheet(roomy & cv::Rect({}, sheet.size())).clone();
}

}  // namespace

LetteringShop::LetteringShop(const std::filesystem::path& fonts, const std::filesystem::path& hands,
                             bool held_out, double real_hands)
    : fonts_(fonts),
      bank_(hands),
      part_(held_out ? BankPart::held_out : BankPart::training),
      real_hands_(real_hands) {}

Glyph LetteringShop::stroke_digit(int digit, double height, const Writer& w, Dice& dice) const {
  const std::vector<Skeleton>& ways = digit_skeletons(digit);
  const int variant = w.variant[static_cast<std::size_t>(digit)];
  const Skeleton& chosen = ways[static_cast<std::size_t>(variant) % ways.size()];
  // Nobody strikes a zero through with a pen so broad that it would fill it.
  const bool filled = digit == 0 && chosen.size() > 1 && w.pen.width > 0.15;
  const Skeleton& way = filled ? ways.front() : chosen;
  const double size = height * (1 + dice.normal(w.wander));
  return pen_glyph(bent_by(way, w, digit), size, w.shape, w.pen, dice);
}

Glyph LetteringShop::real_digit(int digit, double height, const Writer& w, Dice& dice) const {
  const std::vector<int>& habit = w.habit[static_cast<std::size_t>(digit)];
  const int which = habit.empty() ? dice.whole(0, bank_.count(part_) - 1) : dice.pick(habit);
  const cv::Mat picture = bank_.picture(part_, digit, which);
  const cv::Rect ink = cv::boundingRect(picture > 60);
  const double scale = height * (1 + dice.normal(w.wander)) / std::max(8, ink.height);
  cv::Mat cut, big;
  cv::copyMakeBorder(picture(ink), cut, 3, 3, 3, 3, cv::BORDER_CONSTANT | cv::BORDER_ISOLATED, 0);
  const double wide = scale * (0.7 + 0.3 * w.shape.width);
  cv::resize(cut, big, {}, wide, scale, cv::INTER_CUBIC);
  cv::GaussianBlur(big, big, {}, 0.4 * scale);
  // A crisp edge again: the level of the cut sets how bold the line is.
  const double level = std::clamp(128 - (w.pen.width - 0.11) * 900, 50.0, 190.0);
  const double edge = std::max(12.0, 255 / (scale * 1.5));
  big.convertTo(big, CV_8U, 255 / edge, 127 - level * 255 / edge);
  return {big, 3 * wide, 3 * scale, ink.width * wide};
}

Glyph LetteringShop::glyph(char letter, double height, const Writer& w, Dice& dice) const {
  const int digit = letter - '0';
  const bool is_digit = digit >= 0 && digit <= 9;
  const bool by_hand = w.hand == Hand::strokes || w.hand == Hand::real_digits;
  if (is_digit && w.hand == Hand::strokes) return stroke_digit(digit, height, w, dice);
  if (is_digit && w.hand == Hand::real_digits) return real_digit(digit, height, w, dice);
  if (by_hand) {
    const char capital = static_cast<char>(std::toupper(static_cast<unsigned char>(letter)));
    const Skeleton way = letter_skeleton(capital);
    if (!way.empty()) return pen_glyph(bent_by(way, w, letter), height, w.shape, w.pen, dice);
  }
  Glyph printed = fonts_.glyph(w.font, letter, height, w.outline);
  if (w.bridge > 0 && !printed.mask.empty())
    cut_bridges(printed.mask, height, w.bridge, w.upright_bridge);
  return printed;
}

cv::Mat LetteringShop::draw(const std::string& text, double height_px, const Writer& w,
                            Dice& dice) const {
  const double drawn = std::max(height_px, std::min(kLeastDrawn, height_px * 3));
  const double width = drawn * (1.6 + 1.5 * static_cast<double>(text.size()));
  cv::Mat sheet = cv::Mat::zeros(cvCeil(drawn * 2.4), cvCeil(width), CV_8U);
  const int times = dice.chance(w.doubled) ? 2 : 1;
  for (int time = 0; time < times; ++time) {
    double x = drawn * 0.7 + (time > 0 ? dice.normal(0.05 * drawn) : 0);
    const double line = drawn * (0.7 + dice.normal(time > 0 ? 0.05 : 0));
    for (const char letter : text) {
      if (letter == ' ') x += 0.4 * drawn;
      const Glyph one = glyph(letter, drawn, w, dice);
      if (one.mask.empty()) continue;
      const double lift = dice.normal(w.wander * drawn) + w.climb * (x - 0.7 * drawn);
      put(sheet, one, x, line + lift);
      x += one.advance + spaced(w, drawn, dice);
    }
  }
  cv::Rect letters = cv::boundingRect(sheet > 40);
  if (letters.empty()) return {};
  // Room for what the ink does around the letters, and no more: its work is by the pixel.
  const int room = cvCeil(0.3 * drawn) + 2;
  const cv::Rect wide(letters.x - room, letters.y - room, letters.width + 2 * room,
                      letters.height + 2 * room);
  const cv::Rect kept = wide & cv::Rect({}, sheet.size());
  sheet = sheet(kept).clone();
  letters -= kept.tl();
  apply_ink(sheet, drawn, w.ink, dice);
  const double scale = drawn > height_px * 1.01 ? height_px / drawn : 1;
  if (scale < 1) cv::resize(sheet, sheet, {}, scale, scale, cv::INTER_AREA);
  const cv::Rect small(cvRound(letters.x * scale), cvRound(letters.y * scale),
                       cvCeil(letters.width * scale), cvCeil(letters.height * scale));
  return tight(sheet, small, cvCeil(height_px * (w.ink.overspray > 0 ? 0.12 : 0.05)));
}

Lettering LetteringShop::letter(const std::string& text, double height_px, LetteringKind kind,
                                Dice& dice) const {
  const Writer w = writer(kind, dice);
  return {draw(text, height_px, w, dice), style(w)};
}

std::string LetteringShop::style(const Writer& w) const {
  switch (w.hand) {
    case Hand::strokes: return "hand";
    case Hand::real_digits: return "mnist";
    case Hand::stencil: return "stencil";
    case Hand::stamp: return "stamp";
    case Hand::font: break;
  }
  return "font:" + fonts_.name(w.font);
}

}  // namespace scene
