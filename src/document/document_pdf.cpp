// The document laid on pages: pieces go down the page, what does not fit goes to the next, a
// table's titles are repeated there.
#include <algorithm>
#include <numeric>

#include "pdf_canvas.hpp"

namespace plumbstack {
namespace {

// mm
constexpr double kBody = 3.6, kSmall = 3.0, kLarge = 5.2, kHeading = 5.2, kTitle = 7.5;
constexpr double kLeading = 1.42;  // line over line, of the size
constexpr double kGap = 3.5;       // between pieces
constexpr double kPad = 1.4;       // inside cells, left and right
constexpr double kFooter = 6;      // below the content

class Layout {
 public:
  Layout(const Document& document, PdfCanvas& canvas, int pages)
      : document_(document), canvas_(canvas), pages_(pages) {
    left_ = (canvas.page_width() - kContentWidth) / 2;
    top_ = (canvas.page_height() - kContentHeight - kFooter) / 2;
    y_ = top_;
    title();
    for (const Section& section : document.sections) lay(section);
    footer();
  }
  int page() const { return page_; }

 private:
  double bottom() const { return top_ + kContentHeight; }
  double room() const { return bottom() - y_; }

  void title() {
    text(document_.title, kTitle, true);
    text(document_.subtitle, kBody, false);
    y_ += kGap;
  }

  void lay(const Section& section) {
    if (section.new_page) next_page();
    if (!section.title.empty()) {
      if (room() < 30) next_page();  // no heading alone at the foot of a page
      y_ += y_ > top_ ? kGap : 0;
      canvas_.draw(Line{left_, y_, left_ + kContentWidth, y_, {0.7, 0, kBlack}});
      y_ += 2.2;
      text(section.title, kHeading, true);
      y_ += 1.5;
    }
    for (const Piece& piece : section.pieces)
      std::visit([this](const auto& one) { put(one); }, piece);
  }

  void line(const std::string& words, double x, double y, double size, bool bold,
            Align align = Align::left) {
    canvas_.draw(Text{x, y, words, size, align, bold});
  }

  void text(const std::string& words, double size, bool bold, double indent = 0) {
    for (const std::string& one : canvas_.lines(words, size, bold, kContentWidth - indent)) {
      if (room() < size * kLeading) next_page();
      line(one, left_ + indent, y_ + size * kLeading / 2, size, bold);
      y_ += size * kLeading;
    }
  }

  void put(const Paragraph& paragraph) {
    text(paragraph.text, kBody, false);
    y_ += kGap / 2;
  }

  void put(const Caution& caution) {
    constexpr double kIndent = 9;
    std::vector<std::vector<std::string>> items;
    double high = 2 * kPad + kBody * kLeading;
    for (const std::string& item : caution.items) {
      items.push_back(canvas_.lines(item, kBody, false, kContentWidth - kIndent - 6));
      high += kBody * kLeading * static_cast<double>(items.back().size());
    }
    if (room() < high) next_page();
    canvas_.draw(Box{left_, y_, kContentWidth, high, kWhite, {0.5, 0, kBlack}});
    canvas_.draw(Box{left_, y_, 4, high, kBlack, {0.5, 0, kBlack}});
    const double after = y_ + high + kGap;
    y_ += kPad;
    text(caution.title, kBody, true, kIndent - 3);
    for (const auto& item : items)
      for (std::size_t i = 0; i < item.size(); ++i) {
        if (i == 0) line("•", left_ + kIndent - 3, y_ + kBody * kLeading / 2, kBody, false);
        line(item[i], left_ + kIndent, y_ + kBody * kLeading / 2, kBody, false);
        y_ += kBody * kLeading;
      }
    y_ = after;
  }

  void put(const Figure& figure) {
    if (room() < figure.drawing.height) next_page();
    canvas_.draw(figure.drawing, left_ + (kContentWidth - figure.drawing.width) / 2, y_);
    y_ += figure.drawing.height + kGap;
  }

  // Left edge of each column, and the right edge of the last.
  std::vector<double> edges(const Table& table) const {
    double shares = 0;
    for (const Column& column : table.columns) shares += column.share;
    std::vector<double> x{left_};
    for (const Column& column : table.columns)
      x.push_back(x.back() + kContentWidth * column.share / shares);
    return x;
  }

  double cell_lines(const Table& table, const std::vector<double>& x, const Row& row, bool titles,
                    std::vector<std::vector<std::string>>& cells) {
    double high = 0;
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
      const bool large = table.columns[i].large && !titles;
      const double size = size_of(table.columns[i], titles);
      cells.push_back(
          canvas_.lines(row.cells[i], size, large || titles, x[i + 1] - x[i] - 2 * kPad));
      const double leading = large ? 1.15 : 1.25;
      high = std::max(high, size * leading * static_cast<double>(cells.back().size()));
    }
    return high + 0.5;
  }

  static double size_of(const Column& column, bool titles) {
    return titles ? kSmall : column.large ? kLarge : kBody;
  }

  void put_row(const Table& table, const std::vector<double>& x, const Row& row, bool titles) {
    std::vector<std::vector<std::string>> cells;
    const double high = cell_lines(table, x, row, titles, cells);
    if (!titles && room() < high) {
      next_page();
      put_titles(table, x);
    }
    if (row.rule_above) canvas_.draw(Line{left_, y_, left_ + kContentWidth, y_, {0.45, 0, kBlack}});
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const Align align = table.columns[i].align;
      const double size = size_of(table.columns[i], titles), step = size * 1.25;
      const double at = align == Align::left     ? x[i] + kPad
                        : align == Align::middle ? (x[i] + x[i + 1]) / 2
                                                 : x[i + 1] - kPad;
      double y = y_ + high / 2 - step * static_cast<double>(cells[i].size() - 1) / 2;
      for (const std::string& one : cells[i]) {
        line(one, at, y, size, titles || table.columns[i].large, align);
        y += step;
      }
    }
    y_ += high;
    const Stroke rule = titles ? Stroke{0.45, 0, kBlack} : Stroke{0.15, 0, kGrey};
    canvas_.draw(Line{left_, y_, left_ + kContentWidth, y_, rule});
  }

  void put_titles(const Table& table, const std::vector<double>& x) {
    Row titles;
    for (const Column& column : table.columns) titles.cells.push_back(column.title);
    put_row(table, x, titles, true);
  }

  void put(const Table& table) {
    const std::vector<double> x = edges(table);
    if (room() < 20) next_page();
    put_titles(table, x);
    for (const Row& row : table.rows) put_row(table, x, row, false);
    y_ += kGap;
  }

  void footer() {
    const double y = bottom() + kFooter - 1;
    canvas_.draw(Text{left_, y, document_.footer, kSmall, Align::left, false, kGrey});
    canvas_.draw(Text{left_ + kContentWidth, y,
                      "page " + std::to_string(page_) + " of " + std::to_string(pages_), kSmall,
                      Align::right, true});
  }

  void next_page() {
    footer();
    canvas_.next_page();
    ++page_;
    y_ = top_;
  }

  const Document& document_;
  PdfCanvas& canvas_;
  int pages_;
  int page_ = 1;
  double left_, top_, y_;
};

}  // namespace

Result<std::string> document_pdf(const Document& document, Paper paper) {
  // Laid out twice: only the first time tells how many pages there are.
  PdfCanvas draft(paper, document.title);
  const int pages = Layout(document, draft, 0).page();
  PdfCanvas canvas(paper, document.title);
  const Layout laid(document, canvas, pages);
  return canvas.finished();
}

}  // namespace plumbstack
