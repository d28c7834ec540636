#include "plumbstack/base/html_text.hpp"
#include "plumbstack/drawing.hpp"

namespace plumbstack {
namespace {

std::string attribute(const char* name, const std::string& value) {
  return std::string(" ") + name + "=\"" + value + "\"";
}

std::string attribute(const char* name, double value) {
  return attribute(name, fixed(value, 2));
}

std::string color(const Ink& ink) {
  const auto part = [](double share) { return fixed(255 * share, 0); };
  return "rgb(" + part(ink.red) + "," + part(ink.green) + "," + part(ink.blue) + ")";
}

std::string stroke_attributes(const Stroke& stroke) {
  if (stroke.width <= 0) return "";
  std::string text =
      attribute("stroke", color(stroke.ink)) + attribute("stroke-width", stroke.width);
  if (stroke.dash > 0) text += attribute("stroke-dasharray", stroke.dash);
  return text;
}

struct SvgWriter {
  std::string operator()(const Line& s) const {
    return "<line" + attribute("x1", s.x1) + attribute("y1", s.y1) + attribute("x2", s.x2) +
           attribute("y2", s.y2) + stroke_attributes(s.stroke) + "/>";
  }
  std::string operator()(const Box& s) const {
    return "<rect" + attribute("x", s.x) + attribute("y", s.y) + attribute("width", s.width) +
           attribute("height", s.height) + attribute("fill", color(s.fill)) +
           stroke_attributes(s.stroke) + "/>";
  }
  std::string operator()(const Disc& s) const {
    return "<circle" + attribute("cx", s.x) + attribute("cy", s.y) + attribute("r", s.radius) +
           attribute("fill", color(s.fill)) + stroke_attributes(s.stroke) + "/>";
  }
  std::string operator()(const Polygon& s) const {
    std::string points;
    for (const auto& [x, y] : s.points) points += fixed(x, 2) + "," + fixed(y, 2) + " ";
    return "<polygon" + attribute("points", points) + attribute("fill", color(s.fill)) + "/>";
  }
  std::string operator()(const Text& s) const {
    static constexpr const char* kAnchors[] = {"start", "middle", "end"};
    std::string text = "<text" + attribute("x", s.x) +
                       attribute("y", s.y + kCapitalHeight * s.size / 2) +
                       attribute("font-size", s.size) +
                       attribute("text-anchor", kAnchors[static_cast<int>(s.align)]) +
                       attribute("fill", color(s.ink));
    if (s.bold) text += attribute("font-weight", std::string("700"));
    if (s.turn_deg != 0)
      text += attribute("transform", "rotate(" + std::to_string(s.turn_deg) + " " + fixed(s.x, 2) +
                                         " " + fixed(s.y, 2) + ")");
    return text + ">" + escaped(s.text) + "</text>";
  }
};

}  // namespace

std::string drawing_svg(const Drawing& drawing) {
  std::string svg =
      "<svg role=\"img\"" + attribute("aria-label", escaped(drawing.about)) +
      attribute("viewBox", "0 0 " + fixed(drawing.width, 2) + " " + fixed(drawing.height, 2)) + ">";
  for (const Shape& shape : drawing.shapes) svg += std::visit(SvgWriter{}, shape);
  return svg + "</svg>";
}

}  // namespace plumbstack
