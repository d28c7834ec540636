#include "pdf_canvas.hpp"

#include <cairo-pdf.h>

#include <algorithm>
#include <cstdlib>
#include <numbers>

#include "shaped_text.hpp"

namespace plumbstack {

struct PdfWriter {
  PdfCanvas& page;
  cairo_t* to;

  void operator()(const Line& s) const {
    cairo_move_to(to, s.x1, s.y1);
    cairo_line_to(to, s.x2, s.y2);
    page.paint(s.stroke);
  }
  void operator()(const Box& s) const {
    cairo_rectangle(to, s.x, s.y, s.width, s.height);
    page.paint(s.fill, s.stroke);
  }
  void operator()(const Disc& s) const {
    cairo_new_sub_path(to);
    cairo_arc(to, s.x, s.y, s.radius, 0, 2 * std::numbers::pi);
    page.paint(s.fill, s.stroke);
  }
  void operator()(const Polygon& s) const {
    for (const auto& [x, y] : s.points) cairo_line_to(to, x, y);
    cairo_close_path(to);
    page.paint(s.fill, {0, 0, kBlack});
  }
  void operator()(const Text& s) const {
    const double width = page.text_width(s.text, s.size, s.bold);
    const double back = s.align == Align::left ? 0 : s.align == Align::middle ? width / 2 : width;
    cairo_save(to);
    cairo_translate(to, s.x, s.y);
    cairo_rotate(to, s.turn_deg * std::numbers::pi / 180);
    cairo_move_to(to, -back, kCapitalHeight * s.size / 2);
    page.use(s.ink);
    page.show(s.text, s.size, s.bold);
    cairo_restore(to);
    cairo_new_path(to);
  }
};

namespace {

constexpr double kPointsPerMm = 72 / 25.4;

cairo_status_t append(void* to, const unsigned char* data, unsigned int size) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), size);
  return CAIRO_STATUS_SUCCESS;
}

// Words are parted by spaces, and by control characters, which have no shape.
bool parts_words(char c) {
  return static_cast<unsigned char>(c) <= ' ' || c == 127;
}

// Length in bytes of the character of well-formed UTF-8 that begins at i.
std::size_t character_length(const std::string& utf8, std::size_t i) {
  std::size_t length = 1;
  while (i + length < utf8.size() && (static_cast<unsigned char>(utf8[i + length]) & 0xC0) == 0x80)
    ++length;
  return length;
}

std::vector<std::string> words_of(const std::string& text) {
  std::vector<std::string> words;
  for (std::size_t at = 0; at <= text.size();) {
    std::size_t end = at;
    while (end < text.size() && !parts_words(text[end])) ++end;
    words.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return words;
}

}  // namespace

PdfCanvas::PdfCanvas(Paper paper, const std::string& title, const std::string& made_at)
    : width_(paper == Paper::a4 ? 210 : 215.9), height_(paper == Paper::a4 ? 297 : 279.4) {
  surface_.reset(cairo_pdf_surface_create_for_stream(append, &bytes_, width_ * kPointsPerMm,
                                                     height_ * kPointsPerMm));
  cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, title.c_str());
  if (!made_at.empty())
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, made_at.c_str());
  to_.reset(cairo_create(surface_.get()));
  cairo_scale(to_.get(), kPointsPerMm, kPointsPerMm);
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options(to_.get(), options);
  cairo_font_options_destroy(options);
}

void PdfCanvas::draw(const Drawing& drawing, double left, double top) {
  cairo_save(to_.get());
  cairo_translate(to_.get(), left, top);
  for (const Shape& shape : drawing.shapes) draw(shape);
  cairo_restore(to_.get());
}

void PdfCanvas::draw(const Shape& shape) {
  std::visit(PdfWriter{*this, to_.get()}, shape);
}

// The bytes of the JPEG go into the PDF as they are; the image itself stays empty.
void PdfCanvas::draw(const Picture& picture, double left, double top, double width) {
  std::unique_ptr<cairo_surface_t, DestroySurface> image(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height));
  auto* bytes = static_cast<unsigned char*>(std::malloc(picture.jpeg.size()));
  if (!bytes) return;
  std::copy(picture.jpeg.begin(), picture.jpeg.end(), bytes);
  cairo_surface_set_mime_data(image.get(), CAIRO_MIME_TYPE_JPEG, bytes, picture.jpeg.size(),
                              std::free, bytes);
  cairo_save(to_.get());
  cairo_translate(to_.get(), left, top);
  cairo_scale(to_.get(), width / picture.width, width / picture.width);
  cairo_set_source_surface(to_.get(), image.get(), 0, 0);
  cairo_paint(to_.get());
  cairo_restore(to_.get());
}

void PdfCanvas::show(const std::string& utf8, double size, bool bold) {
  if (needs_shaping(utf8))
    show_shaped(to_.get(), utf8, size, bold);
  else
    cairo_show_text(to_.get(), utf8.c_str());
}

void PdfCanvas::font(double size, bool bold) {
  cairo_select_font_face(to_.get(), "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL,
                         bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(to_.get(), size);
}

double PdfCanvas::text_width(const std::string& utf8, double size, bool bold) {
  font(size, bold);
  if (needs_shaping(utf8)) return shaped_width(to_.get(), utf8, size, bold);
  cairo_text_extents_t extents;
  cairo_text_extents(to_.get(), utf8.c_str(), &extents);
  return extents.x_advance;
}

std::vector<std::string> PdfCanvas::lines(const std::string& utf8, double size, bool bold,
                                          double room) {
  std::vector<std::string> all{""};
  const auto fits = [&](const std::string& line) { return text_width(line, size, bold) <= room; };
  for (const std::string& word : words_of(utf8)) {
    const std::string longer = all.back().empty() ? word : all.back() + " " + word;
    if (fits(longer)) {
      all.back() = longer;
      continue;
    }
    if (!all.back().empty()) all.emplace_back();
    for (std::size_t i = 0; i < word.size();) {
      const std::string character = word.substr(i, character_length(word, i));
      if (!all.back().empty() && !fits(all.back() + character)) all.emplace_back();
      all.back() += character;
      i += character.size();
    }
  }
  return all;
}

void PdfCanvas::use(const Ink& ink) {
  cairo_set_source_rgb(to_.get(), ink.red, ink.green, ink.blue);
}

void PdfCanvas::paint(const Ink& fill, const Stroke& stroke) {
  use(fill);
  cairo_fill_preserve(to_.get());
  paint(stroke);
}

void PdfCanvas::paint(const Stroke& stroke) {
  if (stroke.width <= 0) {
    cairo_new_path(to_.get());
    return;
  }
  use(stroke.ink);
  cairo_set_line_width(to_.get(), stroke.width);
  cairo_set_dash(to_.get(), &stroke.dash, stroke.dash > 0 ? 1 : 0, 0);
  cairo_stroke(to_.get());
}

void PdfCanvas::next_page() {
  cairo_show_page(to_.get());
}

Result<std::string> PdfCanvas::finished() {
  const cairo_status_t drawn = cairo_status(to_.get());
  cairo_surface_finish(surface_.get());
  const cairo_status_t written = cairo_surface_status(surface_.get());
  const cairo_status_t status = drawn != CAIRO_STATUS_SUCCESS ? drawn : written;
  if (status != CAIRO_STATUS_SUCCESS)
    return fail(ErrorCode::internal,
                std::string("the PDF could not be drawn: ") + cairo_status_to_string(status));
  return std::move(bytes_);
}

}  // namespace plumbstack
