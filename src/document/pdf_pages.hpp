// The place on the pages of a PDF at which the next piece goes: pieces go down the page, and what
// does not fit goes to the next.
#pragma once

#include "pdf_canvas.hpp"

namespace plumbstack {

namespace pdf {  // mm
inline constexpr double kBody = 3.6, kSmall = 3.0, kLarge = 5.2, kHeading = 5.2, kTitle = 7.5;
inline constexpr double kLeading = 1.42;  // line over line, of the size
inline constexpr double kGap = 3.5;       // between pieces
inline constexpr double kPad = 1.4;       // inside cells, left and right
}  // namespace pdf

class PdfPages {
 public:
  /// @param pages how many there will be, for the footer
  PdfPages(const Document& document, PdfCanvas& canvas, int pages);

  double left() const { return left_; }
  double room() const;  // mm, to the end of the content of this page
  bool at_top() const { return y_ <= top_; }
  int page() const { return page_; }

  /// Next page, where this much does not fit.
  void need(double height);
  void next_page();
  void down(double height) { y_ += height; }
  double y() const { return y_; }

  PdfCanvas& canvas() { return canvas_; }
  void rule(double width, const Ink& ink = kBlack);
  void line(const std::string& words, double x, double y, double size, bool bold,
            Align align = Align::left);
  /// Lines down the page, over as many pages as it takes.
  void text(const std::string& words, double size, bool bold, double indent = 0);
  void footer();

 private:
  void header();

  const Document& document_;
  PdfCanvas& canvas_;
  int pages_;
  int page_ = 1;
  double left_, top_, y_;
};

/// Its titles stand again on every page it goes on to.
void put_table(PdfPages& pages, const Table& table);
void put_pictures(PdfPages& pages, const PictureRow& row);

}  // namespace plumbstack
