#include "pdf_pages.hpp"

namespace plumbstack {

using namespace pdf;

namespace {

constexpr double kFooter = 6;  // mm, below the content
constexpr double kHeader = 5;  // mm, above the content, in the margin

// The size, or what makes the words fit.
double fitted(PdfCanvas& canvas, const std::string& words, double size, double width) {
  const double needed = canvas.text_width(words, size, true);
  return needed > width ? size * width / needed : size;
}

}  // namespace

PdfPages::PdfPages(const Document& document, PdfCanvas& canvas, int pages)
    : document_(document), canvas_(canvas), pages_(pages) {
  left_ = (canvas.page_width() - kContentWidth) / 2;
  top_ = (canvas.page_height() - kContentHeight - kFooter) / 2;
  y_ = top_;
  header();
}

double PdfPages::room() const {
  return top_ + kContentHeight - y_;
}

void PdfPages::need(double height) {
  if (room() < height) next_page();
}

void PdfPages::next_page() {
  footer();
  canvas_.next_page();
  ++page_;
  y_ = top_;
  header();
}

void PdfPages::rule(double width, const Ink& ink) {
  canvas_.draw(Line{left_, y_, left_ + kContentWidth, y_, {width, 0, ink}});
}

void PdfPages::line(const std::string& words, double x, double y, double size, bool bold,
                    Align align) {
  canvas_.draw(Text{x, y, words, size, align, bold});
}

void PdfPages::text(const std::string& words, double size, bool bold, double indent) {
  for (const std::string& one : canvas_.lines(words, size, bold, kContentWidth - indent)) {
    need(size * kLeading);
    line(one, left_ + indent, y_ + size * kLeading / 2, size, bold);
    y_ += size * kLeading;
  }
}

void PdfPages::header() {
  if (document_.header.empty()) return;
  const Banner& standing = document_.standing;
  const double y = top_ - kHeader, right = left_ + kContentWidth;
  const double size = fitted(canvas_, standing.headline, kSmall, kContentWidth / 2);
  const double width = canvas_.text_width(standing.headline, size, true) + 2 * kPad;
  const Ink paper = standing.good ? kWhite : kBlack, ink = standing.good ? kBlack : kWhite;
  canvas_.draw(Box{right - width, y - 2.4, width, 4.8, paper, {0.3, 0, kBlack}});
  canvas_.draw(Text{right - kPad, y, standing.headline, size, Align::right, true, ink});
  const double room = kContentWidth - width - 2 * kPad;
  line(document_.header, left_, y, fitted(canvas_, document_.header, kSmall, room), true);
}

void PdfPages::footer() {
  const double y = top_ + kContentHeight + kFooter - 1;
  canvas_.draw(Text{left_, y, document_.footer, kSmall, Align::left, false, kGrey});
  canvas_.draw(Text{left_ + kContentWidth, y,
                    "page " + std::to_string(page_) + " of " + std::to_string(pages_), kSmall,
                    Align::right, true});
}

}  // namespace plumbstack
