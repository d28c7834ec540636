// The document laid on pages, piece after piece.
#include "pdf_pages.hpp"

namespace plumbstack {

using namespace pdf;

namespace {

class Layout {
 public:
  Layout(const Document& document, PdfCanvas& canvas, int pages)
      : pages_(document, canvas, pages), canvas_(canvas) {
    pages_.text(document.title, kTitle, true);
    pages_.text(document.subtitle, kBody, false);
    pages_.down(kGap);
    for (const Section& section : document.sections) lay(section);
    pages_.footer();
  }
  int page() const { return pages_.page(); }

 private:
  // No heading alone at the foot of a page: what follows at once must fit under it.
  static double with_heading(const Section& section) {
    const bool high =
        !section.pieces.empty() && std::holds_alternative<PictureRow>(section.pieces[0]);
    return high ? 90 : 30;
  }

  void lay(const Section& section) {
    if (section.new_page) pages_.next_page();
    if (!section.title.empty()) {
      pages_.need(with_heading(section));
      if (!pages_.at_top()) pages_.down(kGap);
      pages_.rule(0.7);
      pages_.down(2.2);
      pages_.text(section.title, kHeading, true);
      pages_.down(1.5);
    }
    for (const Piece& piece : section.pieces)
      std::visit([this](const auto& one) { put(one); }, piece);
  }

  void put(const Paragraph& paragraph) {
    pages_.text(paragraph.text, kBody, false);
    pages_.down(kGap / 2);
  }

  void put(const Caution& caution) {
    constexpr double kIndent = 9;
    std::vector<std::vector<std::string>> items;
    double high = 2 * kPad + kBody * kLeading;
    for (const std::string& item : caution.items) {
      items.push_back(canvas_.lines(item, kBody, false, kContentWidth - kIndent - 6));
      high += kBody * kLeading * static_cast<double>(items.back().size());
    }
    pages_.need(high);
    const double left = pages_.left(), top = pages_.y();
    canvas_.draw(Box{left, top, kContentWidth, high, kWhite, {0.5, 0, kBlack}});
    canvas_.draw(Box{left, top, 4, high, kBlack, {0.5, 0, kBlack}});
    pages_.down(kPad);
    pages_.text(caution.title, kBody, true, kIndent - 3);
    for (const auto& item : items)
      for (std::size_t i = 0; i < item.size(); ++i) {
        const double y = pages_.y() + kBody * kLeading / 2;
        if (i == 0) pages_.line("•", left + kIndent - 3, y, kBody, false);
        pages_.line(item[i], left + kIndent, y, kBody, false);
        pages_.down(kBody * kLeading);
      }
    pages_.down(top + high + kGap - pages_.y());
  }

  void put(const Banner& banner) {
    constexpr double kInside = 3, kHeadline = 7, kHeadlineStep = 1.2;
    const double width = kContentWidth - 2 * kInside;
    const auto headline = canvas_.lines(banner.headline, kHeadline, true, width);
    std::vector<std::string> words;
    for (const std::string& one : banner.lines)
      for (const std::string& part : canvas_.lines(one, kBody, false, width)) words.push_back(part);
    const double high = 2 * kInside +
                        kHeadline * kHeadlineStep * static_cast<double>(headline.size()) +
                        kBody * kLeading * static_cast<double>(words.size());
    pages_.need(high);
    const Ink paper = banner.good ? kWhite : kBlack, ink = banner.good ? kBlack : kWhite;
    canvas_.draw(Box{pages_.left(), pages_.y(), kContentWidth, high, paper, {1, 0, kBlack}});
    pages_.down(kInside);
    const auto put_line = [&](const std::string& text, double size, double step, bool bold) {
      canvas_.draw(
          Text{pages_.left() + kInside, pages_.y() + step / 2, text, size, Align::left, bold, ink});
      pages_.down(step);
    };
    for (const std::string& one : headline)
      put_line(one, kHeadline, kHeadline * kHeadlineStep, true);
    for (const std::string& one : words) put_line(one, kBody, kBody * kLeading, false);
    pages_.down(kInside + kGap);
  }

  void put(const Figure& figure) {
    pages_.need(figure.drawing.height);
    canvas_.draw(figure.drawing, pages_.left() + (kContentWidth - figure.drawing.width) / 2,
                 pages_.y());
    pages_.down(figure.drawing.height + kGap);
  }

  void put(const Table& table) { put_table(pages_, table); }
  void put(const PictureRow& row) { put_pictures(pages_, row); }

  PdfPages pages_;
  PdfCanvas& canvas_;
};

}  // namespace

Result<std::string> document_pdf(const Document& document, Paper paper) {
  // Laid out twice: only the first time tells how many pages there are.
  PdfCanvas draft(paper, document.title, document.made_at);
  const int pages = Layout(document, draft, 0).page();
  PdfCanvas canvas(paper, document.title, document.made_at);
  const Layout laid(document, canvas, pages);
  return canvas.finished();
}

}  // namespace plumbstack
