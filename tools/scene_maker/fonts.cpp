#include "fonts.hpp"

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numeric>
#include <stdexcept>
#include <vector>

namespace scene {
namespace {

constexpr FT_Int32 kLoad = FT_LOAD_NO_HINTING | FT_LOAD_NO_BITMAP;

bool names_one_of(const std::string& name, std::initializer_list<const char*> hints) {
  return std::any_of(hints.begin(), hints.end(),
                     [&](const char* hint) { return name.find(hint) != std::string::npos; });
}

// Every digit has an outline with some area: icon and symbol fonts map digits to nothing.
bool draws_digits(FT_Face face) {
  if (!FT_IS_SCALABLE(face) || FT_Set_Pixel_Sizes(face, 0, 100)) return false;
  for (FT_ULong c = '0'; c <= '9'; ++c) {
    const FT_UInt index = FT_Get_Char_Index(face, c);
    if (index == 0 || FT_Load_Glyph(face, index, kLoad)) return false;
    if (face->glyph->outline.n_points < 3 || face->glyph->metrics.height < 10 * 64) return false;
  }
  return true;
}

double zero_height(FT_Face face) {
  FT_Set_Pixel_Sizes(face, 0, 200);
  FT_Load_Char(face, '0', kLoad);
  return std::max(20.0, static_cast<double>(face->glyph->metrics.height) / 64) / 200;
}

void bend(FT_Outline* outline, double height, const OutlineStyle& style) {
  const auto fixed = [](double v) { return static_cast<FT_Fixed>(std::lround(v * 65536)); };
  FT_Matrix matrix{fixed(style.width), fixed(style.slant), 0, fixed(1)};
  FT_Outline_Transform(outline, &matrix);
  if (style.weight != 0)
    FT_Outline_Embolden(outline, static_cast<FT_Pos>(style.weight * height * 64));
}

}  // namespace

struct Fonts::Faces {
  struct Entry {
    FT_Face face = nullptr;
    std::string name;
    double zero = 0.7;  // height of a zero at a size of one
    bool by_hand = false;
  };
  FT_Library library = nullptr;
  std::vector<Entry> entries;
  std::vector<std::vector<std::size_t>> families;
  std::mutex drawing;

  ~Faces() {
    for (const Entry& entry : entries) FT_Done_Face(entry.face);
    if (library) FT_Done_FreeType(library);
  }

  void add(const std::filesystem::path& file) {
    FT_Face face = nullptr;
    if (FT_New_Face(library, file.c_str(), 0, &face)) return;
    if (!draws_digits(face)) {
      FT_Done_Face(face);
      return;
    }
    const std::string name = file.stem().string();
    // Files come in order of name: those of one family stand side by side.
    if (entries.empty() || entries.back().name.substr(0, 5) != name.substr(0, 5))
      families.emplace_back();
    families.back().push_back(entries.size());
    entries.push_back(
        {face, name, zero_height(face),
         names_one_of(name,
                      {".hand",    "Comic",    "Humor",     "breip",     "Breip",     "Dancing",
                       "Ecolier",  "femke",    "Kristi",    "Isabella",  "Rufscript", "Steve",
                       "Delphine", "Kalapi",   "Tomson",    "Jara",      "Quercus",   "dkg",
                       "Yusei",    "Chilanka", "Kaushan",   "Purisa",    "bwht",      "Staypuft",
                       "Junkyard", "Domestic", "Bajaderka", "Abecedario"})});
  }
};

Fonts::Fonts(const std::filesystem::path& folder) : faces_(std::make_unique<Faces>()) {
  if (FT_Init_FreeType(&faces_->library)) throw std::runtime_error("FreeType does not start");
  std::vector<std::filesystem::path> files;
  if (std::filesystem::is_directory(folder))
    for (const auto& entry : std::filesystem::directory_iterator(folder))
      files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  for (const auto& file : files) faces_->add(file);
  if (faces_->entries.empty())
    throw std::runtime_error("no fonts in " + folder.string() + ": fill it with collect_fonts");
}

Fonts::~Fonts() = default;

std::size_t Fonts::size() const {
  return faces_->entries.size();
}
const std::vector<std::vector<std::size_t>>& Fonts::families() const {
  return faces_->families;
}
const std::string& Fonts::name(std::size_t font) const {
  return faces_->entries[font].name;
}
bool Fonts::by_hand(std::size_t font) const {
  return faces_->entries[font].by_hand;
}

bool Fonts::held_out(std::size_t font) const {
  const std::string& letters = name(font);
  return by_hand(font) && std::accumulate(letters.begin(), letters.end(), 0) % 5 == 0;
}

Glyph Fonts::glyph(std::size_t font, char letter, double height, const OutlineStyle& style) const {
  const std::lock_guard lock(faces_->drawing);
  const Faces::Entry& entry = faces_->entries[font];
  Glyph out;
  const FT_UInt index = FT_Get_Char_Index(entry.face, static_cast<FT_ULong>(letter));
  if (index == 0) return out;
  const auto size = static_cast<FT_F26Dot6>(std::lround(64 * height / entry.zero));
  if (FT_Set_Char_Size(entry.face, 0, size, 72, 72) || FT_Load_Glyph(entry.face, index, kLoad))
    return out;
  const FT_GlyphSlot slot = entry.face->glyph;
  bend(&slot->outline, height, style);
  if (FT_Render_Glyph(slot, FT_RENDER_MODE_NORMAL)) return out;
  const FT_Bitmap& bitmap = slot->bitmap;
  out.mask = cv::Mat::zeros(std::max(1, static_cast<int>(bitmap.rows)),
                            std::max(1, static_cast<int>(bitmap.width)), CV_8U);
  for (int y = 0; y < static_cast<int>(bitmap.rows); ++y)
    std::copy_n(bitmap.buffer + static_cast<std::ptrdiff_t>(y) * bitmap.pitch, bitmap.width,
                out.mask.ptr(y));
  out.left = -slot->bitmap_left;
  out.top = slot->bitmap_top - height;
  out.advance = static_cast<double>(slot->metrics.horiAdvance) / 64 * style.width;
  return out;
}

}  // namespace scene
