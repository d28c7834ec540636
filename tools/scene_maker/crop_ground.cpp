#include "crop_ground.hpp"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace scene {
namespace {

constexpr int kShift = 4;

cv::Point fixed(double x, double y) {
  return {cvRound(x * 16), cvRound(y * 16)};
}

void line(cv::Mat& m, double x1, double y1, double x2, double y2, double level, int width) {
  cv::line(m, fixed(x1, y1), fixed(x2, y2), cv::Scalar(level), std::max(1, width), cv::LINE_AA,
           kShift);
}

// A moulded edge: a dark line with a bright one beside it, as the light falls.
void ridge(cv::Mat& m, cv::Point2d a, cv::Point2d b, double level, double depth, int width) {
  line(m, a.x, a.y, b.x, b.y, level * (1 - depth), width);
  const cv::Point2d d = b - a, n(-d.y, d.x);
  const cv::Point2d off = n * (width / std::max(1.0, cv::norm(d)));
  line(m, a.x + off.x, a.y + off.y, b.x + off.x, b.y + off.y,
       std::min(1.0, level * (1 + depth * 0.5) + 0.03), std::max(1, width - 1));
}

// The dark groove between two modules, with its cogs; beyond it the neighbour, a little other.
void seam(Ground& g, double at, bool before, Dice& dice) {
  const int length = g.along ? g.grey.cols : g.grey.rows;
  const int depth = g.along ? g.grey.rows : g.grey.cols;
  if (at < -6 || at > depth + 6) return;
  const double tilt = dice.normal(0.02) * length;
  const double dark = g.level * dice.uniform(0.1, 0.75), wide = dice.uniform(2, 9);
  const auto point = [&](double u, double v) {
    return g.along ? cv::Point2d(u, v + tilt * (u / length - 0.5))
                   : cv::Point2d(v + tilt * (u / length - 0.5), u);
  };
  const double reach = before ? -3.0 * depth : 4.0 * depth;
  const cv::Point2d a = point(0, at), b = point(length, at), c = point(length, reach),
                    d = point(0, reach);
  const std::array<cv::Point, 4> beyond{fixed(a.x, a.y), fixed(b.x, b.y), fixed(c.x, c.y),
                                        fixed(d.x, d.y)};
  cv::fillConvexPoly(g.grey, beyond.data(), 4,
                     cv::Scalar(std::clamp(g.level * dice.uniform(0.85, 1.15), 0.02, 1.0)),
                     cv::LINE_AA, kShift);
  ridge(g.grey, a, b, g.level, 0.25, cvRound(wide + dice.uniform(0, 3)));
  const bool cogs = dice.chance(0.6);
  line(g.grey, a.x, a.y, b.x, b.y, cogs ? g.level * 0.6 : dark, cvRound(wide));
  if (!cogs) return;
  const double pitch = dice.uniform(6, 22), on = pitch * dice.uniform(0.4, 0.75);
  for (double u = dice.uniform(-pitch, 0); u < length; u += pitch) {
    const cv::Point2d p = point(u, at), q = point(u + on, at);
    line(g.grey, p.x, p.y, q.x, q.y, dark, cvRound(wide));
  }
}

void ribs(cv::Mat& m, Dice& dice, double level) {
  const bool upright = dice.chance(0.5);
  const double pitch = dice.uniform(8, 24), depth = dice.uniform(0.05, 0.35);
  const int count = dice.whole(2, 7), width = dice.whole(1, 4);
  const double x = dice.uniform(-20, m.cols), y = dice.uniform(-20, m.rows);
  const double length = dice.uniform(12, 70);
  const bool slots = dice.chance(0.4);  // with round ends, and a floor of another shade
  const double floor = level * dice.uniform(0.6, 1.15), wide = pitch * dice.uniform(0.3, 0.6);
  for (int i = 0; i < count; ++i) {
    const cv::Point2d a = upright ? cv::Point2d(x + i * pitch, y) : cv::Point2d(x, y + i * pitch);
    const cv::Point2d b = a + (upright ? cv::Point2d(0, length) : cv::Point2d(length, 0));
    if (slots) {
      line(m, a.x, a.y, b.x, b.y, level * (1 - depth), cvRound(wide) + width);
      line(m, a.x + 1, a.y + 1, b.x + 1, b.y + 1, std::min(1.0, floor), cvRound(wide));
    } else {
      ridge(m, a, b, level, depth, width);
    }
  }
}

void panel_edge(cv::Mat& m, Dice& dice, double level, bool along) {
  const double depth = dice.uniform(0.05, 0.3), inset = dice.uniform(2, 0.3 * m.rows);
  const int width = dice.whole(1, 4);
  const double end = dice.uniform(0, 0.25 * m.cols);
  if (along) {
    ridge(m, {-5, inset}, {m.cols + 5.0, inset}, level, depth, width);
    ridge(m, {-5, m.rows - inset}, {m.cols + 5.0, m.rows - inset}, level, -depth, width);
  }
  if (dice.chance(0.6)) ridge(m, {end, inset}, {end, m.rows - inset}, level, depth, width);
  if (dice.chance(0.3))
    ridge(m, {m.cols - end, inset}, {m.cols - end, m.rows - inset}, level, -depth, width);
}

void dirt(cv::Mat& m, Dice& dice) {
  if (dice.chance(0.6)) {
    cv::Mat spots = smooth_noise(dice, m.size() / 2, dice.uniform(4, 30), 2, 0.7);
    cv::resize(spots, spots, m.size());
    m += spots * dice.uniform(0.01, 0.1);
  }
  for (int i = dice.chance(0.35) ? dice.whole(1, 6) : 0; i > 0; --i) {  // scratches
    const cv::Point2d a(dice.uniform(0, m.cols), dice.uniform(0, m.rows));
    const double angle = dice.uniform(0, 6.28), length = dice.uniform(5, 90);
    const float here = m.at<float>(static_cast<int>(a.y), static_cast<int>(a.x));
    line(m, a.x, a.y, a.x + length * std::cos(angle), a.y + length * std::sin(angle),
         std::clamp(here + dice.normal(0.12), 0.0, 1.0), 1);
  }
  if (dice.chance(0.15)) {  // rust: a stain of another grey with a hard rim
    cv::Mat stain = smooth_noise(dice, m.size() / 2, dice.uniform(15, 45), 3, 0.6);
    cv::resize(stain, stain, m.size());
    stain = (stain - dice.uniform(0.1, 0.45)) * 6;
    cv::max(stain, 0, stain);
    cv::min(stain, 1, stain);
    const double strength = dice.uniform(0.2, 0.7), grey = dice.uniform(0.2, 0.5);
    m += stain.mul(grey - m) * strength;
  }
}

void cast_shadow(cv::Mat& gain, Dice& dice) {
  const double dark = dice.uniform(0.4, 0.85), soft = dice.uniform(2, 20);
  const double turn = dice.uniform(0, 6.28), edge = dice.uniform(-0.4, 0.4) * gain.cols;
  const double c = std::cos(turn), s = std::sin(turn);
  for (int y = 0; y < gain.rows; ++y)
    for (int x = 0; x < gain.cols; ++x) {
      const double past = c * (x - gain.cols / 2.0) + s * (y - gain.rows / 2.0) - edge;
      const double share = std::clamp(0.5 - past / soft, 0.0, 1.0);
      gain.at<float>(y, x) *= static_cast<float>(1 - (1 - dark) * share);
    }
}

}  // namespace

Ground draw_ground(Dice& dice, cv::Size size, bool along, double room) {
  Ground g;
  g.along = along;
  g.level = dice.chance(0.5) ? dice.uniform(0.5, 0.95) : dice.uniform(0.06, 0.55);
  g.grey = cv::Mat(size, CV_32F, cv::Scalar(g.level));
  if (dice.chance(0.45)) panel_edge(g.grey, dice, g.level, along);
  if (dice.chance(0.3)) ribs(g.grey, dice, g.level);
  const double middle = (along ? size.height : size.width) / 2.0;
  const double gap = dice.chance(0.5) ? dice.uniform(2, 20) : dice.uniform(10, 80);
  const double other = dice.chance(0.6) ? gap : dice.uniform(2, 60);
  g.pitch = 2 * room + gap + other;
  if (!dice.chance(0.1)) g.seams[0] = room + gap;
  if (!dice.chance(0.1)) g.seams[1] = room + other;
  if (g.seams[0] > 0) seam(g, middle - g.seams[0], true, dice);
  if (g.seams[1] > 0) seam(g, middle + g.seams[1], false, dice);
  dirt(g.grey, dice);
  return g;
}

void draw_fittings(cv::Mat& m, Dice& dice, double level) {
  const cv::Point at = fixed(dice.uniform(0.15, 0.85) * m.cols, dice.uniform(0.2, 0.8) * m.rows);
  const int radius = cvRound(dice.uniform(8, 40) * 16);
  const auto ring = [&](double factor, double shade, int width) {
    cv::circle(m, at, std::max(16, cvRound(radius * factor)),
               cv::Scalar(std::clamp(level * shade, 0.0, 1.0)), width, cv::LINE_AA, kShift);
  };
  ring(1, dice.uniform(0.6, 1.4), cv::FILLED);
  ring(1, dice.uniform(0.4, 0.9), dice.whole(1, 4));
  if (dice.chance(0.6)) ring(dice.uniform(0.3, 0.7), dice.uniform(0.1, 1.5), cv::FILLED);
  if (dice.chance(0.4)) ring(dice.uniform(0.5, 0.8), dice.uniform(0.4, 1.4), dice.whole(1, 4));
  const double x = at.x / 16.0, y = at.y / 16.0, arm = radius / 16.0 * 0.5;
  if (dice.chance(0.3)) ridge(m, {x - arm, y}, {x + arm, y}, level, 0.3, 3);
  if (dice.chance(0.2)) ridge(m, {x, y - arm}, {x, y + arm}, level, 0.3, 3);
}

void draw_cover(cv::Mat& m, Dice& dice, double at, bool leftward) {
  const double base = dice.uniform(0.05, 0.9), slope = dice.normal(0.06);
  const double radius = dice.uniform(15, 70), bright = dice.uniform(0.1, 0.6);
  for (int y = 0; y < m.rows; ++y)
    for (int x = 0; x < m.cols; ++x) {
      const double into = (leftward ? at - x : x - at) + slope * (y - m.rows / 2.0);
      if (into < 0 || into > 2 * radius) continue;
      // A round rod: lit most a third of the way across, dark at its edges.
      const double t = into / radius - 0.7;
      const double lit = base * (0.4 + 0.6 * std::sqrt(std::max(0.0, 1 - t * t / 1.7))) +
                         bright * std::exp(-t * t * 12);
      m.at<float>(y, x) = static_cast<float>(std::clamp(lit, 0.0, 1.0));
    }
}

Light any_light(Dice& dice, cv::Size size) {
  Light light{cv::Mat(size, CV_32F), cv::Mat()};
  const double angle = dice.uniform(0, 6.28), slope = 2 * std::abs(dice.normal(0.15));
  const double gx = slope * std::cos(angle) / size.width,
               gy = slope * std::sin(angle) / size.height;
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      light.gain.at<float>(y, x) =
          static_cast<float>(1 + gx * (x - size.width / 2.0) + gy * (y - size.height / 2.0));
  if (dice.chance(0.15)) cast_shadow(light.gain, dice);
  if (dice.chance(0.2)) {
    const double width = dice.uniform(0.15, 0.5), strength = dice.uniform(0.05, 0.45);
    const auto bump = [&](int length) {
      const double middle = dice.uniform(-0.1, 1.1);
      cv::Mat line(length, 1, CV_32F);
      for (int i = 0; i < length; ++i)
        line.at<float>(i) = static_cast<float>(
            std::exp(-std::pow((static_cast<double>(i) / length - middle) / width, 2)));
      return line;
    };
    const cv::Mat down = bump(size.height), across = bump(size.width);
    light.gloss = strength * down * across.t();
  }
  return light;
}

cv::Mat lit(const cv::Mat& grey, const Light& light) {
  cv::Mat out = grey.mul(light.gain);
  if (!light.gloss.empty()) out += light.gloss;
  cv::max(out, 0, out);
  cv::min(out, 1, out);
  return out;
}

}  // namespace scene
