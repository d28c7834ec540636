// Pages of a PDF in millimetres, through cairo: vector shapes, text in DejaVu Sans.
#pragma once

#include <cairo.h>

#include <memory>

#include "plumbstack/document.hpp"

namespace plumbstack {

class PdfCanvas {
 public:
  /// @param made_at RFC 3339; empty = now
  PdfCanvas(Paper paper, const std::string& title, const std::string& made_at = {});

  double page_width() const { return width_; }    // mm
  double page_height() const { return height_; }  // mm

  /// @param left, top where the drawing's own top left comes to lie, mm from the page's
  void draw(const Drawing& drawing, double left, double top);
  void draw(const Shape& shape);
  /// @param width mm on the page; the height follows
  void draw(const Picture& picture, double left, double top, double width);
  double text_width(const std::string& utf8, double size, bool bold);
  /// Lines no wider than `room`: broken between words, inside a word only where it alone is wider.
  std::vector<std::string> lines(const std::string& utf8, double size, bool bold, double room);
  void next_page();

  /// The whole file. Call last. Error: internal.
  Result<std::string> finished();

 private:
  struct DestroySurface {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  };
  struct DestroyContext {
    void operator()(cairo_t* context) const { cairo_destroy(context); }
  };
  friend struct PdfWriter;
  void show(const std::string& utf8, double size, bool bold);
  void font(double size, bool bold);
  void use(const Ink& ink);
  void paint(const Ink& fill, const Stroke& stroke);
  void paint(const Stroke& stroke);

  double width_, height_;
  std::string bytes_;
  std::unique_ptr<cairo_surface_t, DestroySurface> surface_;
  std::unique_ptr<cairo_t, DestroyContext> to_;
};

}  // namespace plumbstack
