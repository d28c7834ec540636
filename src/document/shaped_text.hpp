// Text in scripts that need more than one glyph for one letter after the other: Pango shapes it,
// lays it in its direction and takes another font where DejaVu Sans lacks a letter. Which font that
// is depends on the machine; a letter that no font has becomes a box with its number.
#pragma once

#include <cairo.h>

#include <string>

namespace plumbstack {

/// True where anything else than Latin, Greek, Cyrillic, punctuation and symbols is in the text.
bool needs_shaping(const std::string& utf8);

/// In user space units.
double shaped_width(cairo_t* to, const std::string& utf8, double size, bool bold);
/// At the current point, which is on the base line.
void show_shaped(cairo_t* to, const std::string& utf8, double size, bool bold);

}  // namespace plumbstack
