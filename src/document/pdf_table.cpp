#include <algorithm>

#include "pdf_pages.hpp"

namespace plumbstack {

using namespace pdf;

namespace {

constexpr double kStep = 1.25;                     // line over line in a cell, of the size
constexpr double kBelow = 2.4, kBelowStep = 1.35;  // what stands under a row

using Cells = std::vector<std::vector<std::string>>;  // lines of each

double size_of(const Column& column, bool titles) {
  return titles ? kSmall : column.large ? kLarge : kBody;
}

class TableOnPages {
 public:
  TableOnPages(PdfPages& pages, const Table& table) : pages_(pages), table_(table) {
    double shares = 0;
    for (const Column& column : table.columns) shares += column.share;
    x_.push_back(pages.left());
    for (const Column& column : table.columns)
      x_.push_back(x_.back() + kContentWidth * column.share / shares);
  }

  void put() {
    pages_.need(20);
    put_titles();
    for (const Row& row : table_.rows) put(row);
    pages_.down(kGap);
  }

 private:
  Cells cells_of(const std::vector<std::string>& texts, bool titles) {
    Cells cells;
    for (std::size_t i = 0; i < table_.columns.size(); ++i)
      cells.push_back(pages_.canvas().lines(texts[i], size_of(table_.columns[i], titles),
                                            titles || table_.columns[i].large,
                                            x_[i + 1] - x_[i] - 2 * kPad));
    return cells;
  }

  double height(const Cells& cells, bool titles) const {
    double high = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const double step = table_.columns[i].large && !titles ? 1.15 : kStep;
      high = std::max(
          high, size_of(table_.columns[i], titles) * step * static_cast<double>(cells[i].size()));
    }
    return high + 0.5;
  }

  void draw(const Cells& cells, bool titles) {
    const double high = height(cells, titles);
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const Align align = table_.columns[i].align;
      const double size = size_of(table_.columns[i], titles), step = size * kStep;
      const double at = align == Align::left     ? x_[i] + kPad
                        : align == Align::middle ? (x_[i] + x_[i + 1]) / 2
                                                 : x_[i + 1] - kPad;
      double y = pages_.y() + high / 2 - step * (static_cast<double>(cells[i].size()) - 1) / 2;
      for (const std::string& one : cells[i]) {
        pages_.line(one, at, y, size, titles || table_.columns[i].large, align);
        y += step;
      }
    }
    pages_.down(high);
  }

  void put_titles() {
    std::vector<std::string> titles;
    for (const Column& column : table_.columns) titles.push_back(column.title);
    draw(cells_of(titles, true), true);
    pages_.rule(0.45);
  }

  void next_page() {
    pages_.next_page();
    put_titles();
  }

  // The first lines of every cell that fit on this page, taken out of the cells.
  Cells first_lines(Cells& cells) const {
    double step = kBody * kStep;
    for (const Column& column : table_.columns)
      step = std::max(step, size_of(column, false) * kStep);
    const auto fit = static_cast<std::size_t>((pages_.room() - 1) / step);
    Cells first;
    for (std::vector<std::string>& cell : cells) {
      const auto end = cell.begin() + static_cast<std::ptrdiff_t>(std::min(fit, cell.size()));
      first.emplace_back(cell.begin(), end);
      cell.erase(cell.begin(), end);
    }
    return first;
  }

  // A row stays on one page, unless it is higher than a page.
  void put(const Row& row) {
    Cells cells = cells_of(row.cells, false);
    std::vector<std::string> below;
    if (!row.below.empty())
      below = pages_.canvas().lines(row.below, kBelow, false, kContentWidth - 2 * kPad);
    const double under = kBelow * kBelowStep * static_cast<double>(below.size());
    if (pages_.room() < height(cells, false) + under) next_page();
    if (row.rule_above) pages_.rule(0.45);
    while (pages_.room() < height(cells, false) + under) {
      draw(first_lines(cells), false);
      next_page();
    }
    draw(cells, false);
    for (const std::string& one : below) {
      pages_.line(one, pages_.left() + kPad, pages_.y() + kBelow * 0.6, kBelow, false);
      pages_.down(kBelow * kBelowStep);
    }
    pages_.rule(0.15, kGrey);
  }

  PdfPages& pages_;
  const Table& table_;
  std::vector<double> x_;  // left edge of each column, and the right edge of the last
};

}  // namespace

void put_table(PdfPages& pages, const Table& table) {
  TableOnPages(pages, table).put();
}

}  // namespace plumbstack
