// A picture as a list of shapes in millimetres, so that page and PDF show the same one.
#pragma once

#include <string>
#include <variant>
#include <vector>

namespace plumbstack {

struct Ink {  // 0..1
  double red = 0, green = 0, blue = 0;
};

inline constexpr Ink kBlack{0.07, 0.07, 0.07}, kWhite{1, 1, 1}, kGrey{0.42, 0.44, 0.46},
    kPale{0.93, 0.93, 0.92};

enum class Align { left, middle, right };

struct Stroke {
  double width = 0.25;  // mm; 0 = none
  double dash = 0;      // mm; 0 = whole
  Ink ink = kBlack;
};

struct Line {
  double x1, y1, x2, y2;
  Stroke stroke;
};
struct Box {
  double x, y, width, height;
  Ink fill = kWhite;
  Stroke stroke;
};
struct Disc {
  double x, y, radius;
  Ink fill = kBlack;
  Stroke stroke;
};
struct Polygon {
  std::vector<std::pair<double, double>> points;
  Ink fill = kBlack;
};
struct Text {
  double x, y;  // y: middle of the capitals
  std::string text;
  double size = 3.5;  // mm, of the font
  Align align = Align::left;
  bool bold = false;
  Ink ink = kBlack;
  int turn_deg = 0;  // clockwise about (x, y)
};

using Shape = std::variant<Line, Box, Disc, Polygon, Text>;

struct Drawing {
  double width = 0, height = 0;  // mm; x right, y down from the top left
  std::string about;             // for those who can't see it
  std::vector<Shape> shapes;     // the first lies undermost
};

/// Height of the capitals of DejaVu Sans as a share of its size (its OS/2 table: 1493 of 2048).
inline constexpr double kCapitalHeight = 0.729;

/// As an <svg> element.
std::string drawing_svg(const Drawing& drawing);

}  // namespace plumbstack
