#include "lettering.hpp"

#include <ft2build.h>
#include FT_FREETYPE_H

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <mutex>
#include <opencv2/imgproc.hpp>
#include <stdexcept>

#include "strokes.hpp"

namespace scene {
namespace {

constexpr int kSide = 28;  // of a real digit's picture

// Points of a stroke smoothed by a Catmull-Rom spline; a point that stands twice stays a corner.
std::vector<cv::Point2d> smoothed(const Stroke& stroke) {
  std::vector<cv::Point2d> out;
  const auto at = [&](int i) {
    return stroke[static_cast<std::size_t>(std::clamp(i, 0, static_cast<int>(stroke.size()) - 1))];
  };
  for (int i = 0; i + 1 < static_cast<int>(stroke.size()); ++i) {
    const cv::Point2d p1 = at(i), p2 = at(i + 1);
    if (cv::norm(p1 - p2) < 1e-6) continue;
    const cv::Point2d p0 = at(i - 1), p3 = at(i + 2);
    for (int s = 0; s < 10; ++s) {
      const double t = s / 10.0, t2 = t * t, t3 = t2 * t;
      out.push_back(0.5 * (2 * p1 + (p2 - p0) * t + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t2 +
                           (3 * p1 - p0 - 3 * p2 + p3) * t3));
    }
  }
  out.push_back(stroke.back());
  return out;
}

struct Glyph {
  cv::Mat mask;       // CV_8U
  double left = 0;    // px to the pen position
  double top = 0;     // px below the line of digit tops
  double advance = 0; // px
};

Glyph stroke_glyph(int digit, double height, const Writer& w, Dice& dice) {
  const std::vector<Skeleton>& ways = skeletons_of(digit);
  const Skeleton& way = ways[static_cast<std::size_t>(w.variant[static_cast<std::size_t>(digit)]) % ways.size()];
  const double grow = 1 + dice.normal(w.wander * 2), margin = height * 0.45;
  Glyph glyph;
  glyph.mask = cv::Mat::zeros(static_cast<int>(height * 1.9), static_cast<int>(height * 2.1), CV_8U);
  double right = 0;
  const double pen = w.pen * height;
  for (const Stroke& stroke : way) {
    Stroke moved;
    for (cv::Point2d p : stroke) {
      p += cv::Point2d(dice.normal(w.shake), dice.normal(w.shake));
      if (!moved.empty() && cv::norm(p - moved.back()) < w.shake) p = moved.back();
      moved.emplace_back((p.x * w.width + (0.5 - p.y) * w.slant) * grow * height, p.y * grow * height);
      right = std::max(right, p.x * w.width * height);
    }
    const std::vector<cv::Point2d> path = smoothed(moved);
    const double pressure_phase = dice.uniform(0, 6);
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
      const cv::Point2d d = path[i + 1] - path[i];
      const double angle = std::atan2(d.y, d.x);
      double wide = pen * (1 + 0.15 * std::sin(pressure_phase + 0.25 * double(i)));
      if (w.chisel) wide *= 0.45 + 0.75 * std::abs(std::sin(angle + 0.6));
      const double dry = w.dryness > 0 && dice.chance(w.dryness * 0.25) ? 0.45 : 1;
      cv::line(glyph.mask, cv::Point((path[i] + cv::Point2d(margin, margin)) * 16),
               cv::Point((path[i + 1] + cv::Point2d(margin, margin)) * 16), cv::Scalar(255 * dry),
               std::max(1, static_cast<int>(std::lround(wide))), cv::LINE_AA, 4);
    }
  }
  glyph.left = margin;
  glyph.top = margin;
  glyph.advance = right + pen + w.spacing * height * dice.uniform(0.6, 1.4);
  return glyph;
}

Glyph real_glyph(const cv::Mat& picture, double height, const Writer& w, Dice& dice) {
  cv::Mat big, move;
  const cv::Rect ink = cv::boundingRect(picture > 60);
  const double scale = height / std::max(8, ink.height);
  cv::Mat cut = picture(ink).clone();
  cv::copyMakeBorder(cut, cut, 3, 3, 3, 3, cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::resize(cut, big, {}, scale * dice.uniform(0.85, 1.1), scale, cv::INTER_CUBIC);
  // Re-draw a crisp edge at the marker's width: the level of the cut sets how bold it is.
  const double cut_at = std::clamp(140 - (w.pen - 0.11) * 700, 50.0, 200.0), edge = std::max(12.0, 255 / (scale * 1.5));
  big.convertTo(big, CV_8U, 255 / edge, 127 - cut_at * 255 / edge);
  Glyph glyph{big, 3 * scale, 3 * scale, (big.cols - 6 * scale) + w.spacing * height * dice.uniform(0.4, 1.2)};
  return glyph;
}

}  // namespace

struct LetteringShop::Faces {
  FT_Library library = nullptr;
  std::vector<FT_Face> faces;
  std::vector<bool> by_hand;  // the font imitates handwriting

  ~Faces() {
    for (FT_Face face : faces) FT_Done_Face(face);
    if (library) FT_Done_FreeType(library);
  }

  Glyph glyph(std::size_t font, char letter, double height, const Writer& w) {
    FT_Face face = faces[font];
    FT_Set_Pixel_Sizes(face, 0, 200);
    FT_Load_Char(face, '0', FT_LOAD_NO_BITMAP | FT_LOAD_NO_HINTING);
    const double zero = std::max(20.0, static_cast<double>(face->glyph->metrics.height) / 64.0);
    FT_Set_Char_Size(face, 0, static_cast<FT_F26Dot6>(200 * 64 * height / zero), 72, 72);
    Glyph out;
    if (FT_Load_Char(face, static_cast<FT_ULong>(letter), FT_LOAD_RENDER | FT_LOAD_NO_HINTING | FT_LOAD_NO_BITMAP)) return out;
    const FT_GlyphSlot slot = face->glyph;
    const FT_Bitmap& b = slot->bitmap;
    out.mask = cv::Mat::zeros(std::max(1u, b.rows), std::max(1u, b.width), CV_8U);
    for (unsigned y = 0; y < b.rows; ++y)
      std::copy_n(b.buffer + static_cast<std::ptrdiff_t>(y) * b.pitch, b.width, out.mask.ptr(static_cast<int>(y)));
    out.left = -slot->bitmap_left;
    out.top = slot->bitmap_top - height;  // digits' tops on one line
    out.advance = static_cast<double>(slot->advance.x) / 64.0 + (w.spacing - 0.2) * 0.3 * height;
    return out;
  }
};

LetteringShop::LetteringShop(const std::filesystem::path& fonts, const std::filesystem::path& hands, bool held_out)
    : faces_(std::make_unique<Faces>()) {
  if (FT_Init_FreeType(&faces_->library)) throw std::runtime_error("FreeType does not start");
  std::vector<std::filesystem::path> files;
  if (std::filesystem::is_directory(fonts))
    for (const auto& entry : std::filesystem::directory_iterator(fonts)) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  for (const auto& file : files) {
    FT_Face face = nullptr;
    if (FT_New_Face(faces_->library, file.c_str(), 0, &face)) continue;
    bool digits = true;
    for (char c = '0'; c <= '9'; ++c)
      digits = digits && FT_Get_Char_Index(face, static_cast<FT_ULong>(c)) != 0;
    if (!digits || !FT_IS_SCALABLE(face)) {
      FT_Done_Face(face);
      continue;
    }
    faces_->faces.push_back(face);
    const std::string name = file.filename().string();
    bool by_hand = false;
    for (const char* hint : {"Comic", "Humor", "breip", "Breip", "Dancing", "Ecolier", "femke", "Kristi", "Isabella",
                             "Rufscript", "Steve", "Delphine", "Kalapi", "Tomson", "Abecedario", "Jara", "Quercus"})
      by_hand = by_hand || name.find(hint) != std::string::npos;
    faces_->by_hand.push_back(by_hand);
  }
  if (faces_->faces.empty()) throw std::runtime_error("no fonts in " + fonts.string());
  std::ifstream in(hands, std::ios::binary);
  bank_.assign(std::istreambuf_iterator<char>(in), {});
  if (bank_.size() < 16 || std::string(bank_.begin(), bank_.begin() + 4) != "HAND")
    throw std::runtime_error("no bank of digits in " + hands.string());
  int head[3];
  std::copy_n(bank_.begin() + 4, sizeof head, reinterpret_cast<unsigned char*>(head));
  first_ = held_out ? head[1] : 0;
  count_ = held_out ? head[2] : head[1];
  per_digit_ = head[1] + head[2];
}

LetteringShop::~LetteringShop() = default;

cv::Mat LetteringShop::real_digit(int digit, Dice& dice) const {
  const int which = digit * per_digit_ + first_ + dice.whole(0, count_ - 1);
  const auto* data = bank_.data() + 16 + static_cast<std::ptrdiff_t>(which) * kSide * kSide;
  return cv::Mat(kSide, kSide, CV_8U, const_cast<unsigned char*>(data)).clone();
}

Writer LetteringShop::printed(Dice& dice) const {
  Writer w;
  w.hand = Hand::font;
  w.font = static_cast<std::size_t>(dice.whole(0, static_cast<int>(faces_->faces.size()) - 1));
  w.spacing = dice.uniform(0.1, 0.5);
  return w;
}

Writer LetteringShop::any_writer(Dice& dice) const {
  Writer w = printed(dice);
  const double kind = dice.uniform(0, 1);
  w.hand = kind < 0.48 ? Hand::strokes : kind < 0.66 ? Hand::real_digits : kind < 0.93 ? Hand::font : Hand::stencil;
  if (w.hand == Hand::font && dice.chance(0.35))
    for (int tries = 0; tries < 60 && !faces_->by_hand[w.font]; ++tries) w.font = printed(dice).font;
  for (int& v : w.variant) v = dice.whole(0, 59);
  w.slant = dice.normal(0.16);
  w.width = dice.uniform(0.7, 1.25);
  w.spacing = dice.uniform(0.05, 0.4);
  w.pen = dice.chance(0.7) ? dice.uniform(0.07, 0.15) : dice.uniform(0.05, 0.24);
  w.shake = dice.uniform(0.005, 0.035);
  w.wander = dice.uniform(0, 0.05);
  w.dryness = dice.chance(0.25) ? dice.uniform(0.1, 1) : 0;
  w.soft = w.hand == Hand::stencil ? dice.uniform(0.01, 0.05) : 0;
  w.chisel = dice.chance(0.25);
  return w;
}

cv::Mat LetteringShop::draw(const std::string& text, double height, const Writer& w, Dice& dice) const {
  // FreeType faces keep a size inside: one drawing at a time.
  static std::mutex one_at_a_time;
  const std::lock_guard lock(one_at_a_time);
  const int room = static_cast<int>(height);
  cv::Mat sheet = cv::Mat::zeros(room * 4, static_cast<int>(height * (3 + 1.4 * double(text.size()))), CV_8U);
  double pen_x = height * 1.2;
  for (char letter : text) {
    const int digit = letter - '0';
    const bool is_digit = digit >= 0 && digit <= 9;
    Glyph glyph = is_digit && w.hand == Hand::strokes       ? stroke_glyph(digit, height, w, dice)
                  : is_digit && w.hand == Hand::real_digits ? real_glyph(real_digit(digit, dice), height, w, dice)
                                                            : faces_->glyph(w.font, letter, height, w);
    if (glyph.mask.empty()) continue;
    const double lift = dice.normal(w.hand == Hand::font ? 0 : w.wander * height);
    const cv::Rect at(static_cast<int>(std::lround(pen_x - glyph.left)),
                      static_cast<int>(std::lround(room * 1.5 - glyph.top + lift)), glyph.mask.cols, glyph.mask.rows);
    const cv::Rect on = at & cv::Rect({}, sheet.size());
    if (!on.empty()) {
      cv::Mat part = sheet(on);
      cv::max(part, glyph.mask(on - at.tl()), part);
    }
    pen_x += glyph.advance;
  }
  if (w.hand == Hand::stencil)  // bridges
    for (int i = 0; i < 2; ++i)
      cv::line(sheet, {0, static_cast<int>(room * (1.8 + 0.4 * i))}, {sheet.cols, static_cast<int>(room * (1.8 + 0.4 * i))},
               cv::Scalar(0), std::max(1, static_cast<int>(height * 0.06)));
  if (w.soft > 0) cv::GaussianBlur(sheet, sheet, {}, w.soft * height + 0.3);
  if (w.dryness > 0) {
    const cv::Mat streak = smooth_noise(dice, sheet.size(), std::max(3.0, height * 0.12), 2);
    for (int y = 0; y < sheet.rows; ++y)
      for (int x = 0; x < sheet.cols; ++x)
        if (streak.at<float>(y, x) > 1.1 - w.dryness * 0.8) sheet.at<uchar>(y, x) = static_cast<uchar>(sheet.at<uchar>(y, x) * 0.4);
  }
  const cv::Rect ink = cv::boundingRect(sheet > 40);
  if (ink.empty()) return {};
  const cv::Rect roomy = cv::Rect(ink.x - 2, ink.y - 2, ink.width + 4, ink.height + 4) & cv::Rect({}, sheet.size());
  return sheet(roomy).clone();
}

}  // namespace scene
