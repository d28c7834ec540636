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
};
struct Table {
  std::vector<Column> columns;
  std::vector<Row> rows;
};
struct Figure {
  Drawing drawing;  // at most kContentWidth wide and kFigureHeight high
};

using Piece = std::variant<Paragraph, Caution, Table, Figure>;

struct Section {
  std::string title;
  bool new_page = false;
  std::vector<Piece> pieces;
};

struct Document {
  std::string title;
  std::string subtitle;
  std::string footer;  // on every page of the PDF, beside its number; at the end of the HTML page
  std::vector<Section> sections;
};

// What A4 (210 x 297 mm) and Letter (215.9 x 279.4 mm) both have room for, with margins.
inline constexpr double kContentWidth = 186, kContentHeight = 244;  // mm
inline constexpr double kFigureHeight = 212;  // mm, below a title and three lines of text

std::string document_html(const Document& document);

/// Error: internal, where cairo fails.
Result<std::string> document_pdf(const Document& document, Paper paper);

}  // namespace plumbstack
