#include "shaped_text.hpp"

#include <pango/pangocairo.h>

#include <memory>

namespace plumbstack {
namespace {

struct Unref {
  void operator()(void* object) const { g_object_unref(object); }
};
using Layout = std::unique_ptr<PangoLayout, Unref>;

Layout layout_of(cairo_t* to, const std::string& utf8, double size, bool bold) {
  Layout layout(pango_cairo_create_layout(to));
  PangoFontDescription* font = pango_font_description_from_string("DejaVu Sans");
  pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
  pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  // Else every glyph would stand on a whole unit, and a unit is a millimetre here.
  pango_context_set_round_glyph_positions(pango_layout_get_context(layout.get()), FALSE);
  pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
  pango_layout_set_text(layout.get(), utf8.data(), static_cast<int>(utf8.size()));
  return layout;
}

// Latin, Greek, Cyrillic without combining marks; punctuation, arrows, signs and boxes, which
// DejaVu Sans has. Bytes: a lead byte under 0xCC is U+0000 to U+02FF, 0xCE to 0xD3 U+0380 to
// U+04FF, 0xE2 U+2000 to U+2FFF.
bool is_simple(unsigned char byte) {
  const bool inner = (byte & 0xC0) == 0x80;
  return inner || byte < 0xCC || (byte >= 0xCE && byte <= 0xD3) || byte == 0xE2;
}

}  // namespace

bool needs_shaping(const std::string& utf8) {
  for (const char c : utf8)
    if (!is_simple(static_cast<unsigned char>(c))) return true;
  return false;
}

double shaped_width(cairo_t* to, const std::string& utf8, double size, bool bold) {
  int width = 0, height = 0;
  pango_layout_get_size(layout_of(to, utf8, size, bold).get(), &width, &height);
  return static_cast<double>(width) / PANGO_SCALE;
}

void show_shaped(cairo_t* to, const std::string& utf8, double size, bool bold) {
  const Layout layout = layout_of(to, utf8, size, bold);
  pango_cairo_show_layout_line(to, pango_layout_get_line_readonly(layout.get(), 0));
}

}  // namespace plumbstack
