// Outline fonts of one folder, drawn with FreeType.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "glyph.hpp"

namespace scene {

/// How a font's outline is bent before it is drawn.
struct OutlineStyle {
  double slant = 0;   // shear, x per y
  double width = 1;   // factor across
  double weight = 0;  // stroke added, of the digits' height; negative thins
};

/// Read once, then const; drawing is locked inside, since a FreeType face keeps its size.
class Fonts {
 public:
  /// Takes each .ttf and .otf of `folder`, in order of name, that draws all ten digits.
  /// Throws std::runtime_error where there is none.
  explicit Fonts(const std::filesystem::path& folder);
  ~Fonts();
  Fonts(const Fonts&) = delete;
  Fonts& operator=(const Fonts&) = delete;

  std::size_t size() const;
  /// Fonts whose names begin alike, so that a family of twenty weights counts as one.
  const std::vector<std::vector<std::size_t>>& families() const;
  /// File name without its ending.
  const std::string& name(std::size_t font) const;
  /// The font imitates handwriting.
  bool by_hand(std::size_t font) const;
  /// Of those by hand one in five, by its name: training never sees them.
  bool held_out(std::size_t font) const;
  /// Empty where the font lacks the letter. `height` is that of the font's zero, px.
  Glyph glyph(std::size_t font, char letter, double height, const OutlineStyle& style) const;

 private:
  struct Faces;
  std::unique_ptr<Faces> faces_;
};

}  // namespace scene
