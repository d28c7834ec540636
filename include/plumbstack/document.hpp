// What a sheet says, written once: the page and the PDF are two ways to show it.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "plumbstack/base/paper.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/drawing.hpp"

namespace plumbstack {

struct Paragraph {
  std::string text;
};
struct Caution {
  std::string title;
  std::vector<std::string> items;
};
struct Column {
  std::string title;
  double share = 1;  // of the width, against the other columns
  Align align = Align::left;
  bool large = false;  // to be read at arm's length
};
struct Row {
  std::vector<std::string> cells;
  bool rule_above = false;  // a new group begins
  std::string below = {};   // in small letters under the cells, over the whole width
};
struct Table {
  std::vector<Column> columns;
  std::vector<Row> rows;
};
struct Figure {
  Drawing drawing;  // at most kContentWidth wide and kFigureHeight high
};

/// What must be seen first. Whatever is not good stands white on black, so that neither a look from
/// afar nor a copy without colours can take it for good.
struct Banner {
  std::string headline;
  std::vector<std::string> lines;
  bool good = false;
};
struct Picture {
  std::string jpeg;  // bytes, three components; empty = can't be shown, and `about` says why
  int width = 0, height = 0;  // px
  std::string about;          // for those who can't see it
  std::vector<std::string> caption;
};
/// Side by side; a picture and its caption stay on one page.
struct PictureRow {
  std::vector<Picture> pictures;  // at most `places`
  int places = 2;
};

using Piece = std::variant<Paragraph, Caution, Table, Figure, Banner, PictureRow>;

struct Section {
  std::string title;
  bool new_page = false;
  std::vector<Piece> pieces;
};

struct Document {
  std::string title;
  std::string subtitle;
  std::string footer;   // on every page of the PDF, beside its number; at the end of the HTML page
  std::string header;   // at the head of every page of the PDF; empty = none
  Banner standing;      // its headline, beside the header
  std::string made_at;  // RFC 3339, becomes the PDF's date of creation; empty = now
  std::vector<Section> sections;
};

// What A4 (210 x 297 mm) and Letter (215.9 x 279.4 mm) both have room for, with margins.
inline constexpr double kContentWidth = 186, kContentHeight = 244;  // mm
inline constexpr double kFigureHeight = 212;  // mm, below a title and three lines of text

std::string document_html(const Document& document);

/// Error: internal, where cairo fails.
Result<std::string> document_pdf(const Document& document, Paper paper);

}  // namespace plumbstack
