#include <algorithm>

#include "pdf_pages.hpp"

namespace plumbstack {

using namespace pdf;

namespace {

constexpr double kCaption = 2.7, kCaptionStep = 1.3;
constexpr double kMostHigh = 104;  // of a picture: two rows with their captions go on a page
constexpr double kNoPicture = 30;  // high, where there is none to show

struct Placed {
  double width = 0, height = 0;  // mm, of the picture
  std::vector<std::string> caption;
  double high() const {
    return height + 1 + kCaption * kCaptionStep * static_cast<double>(caption.size());
  }
};

Placed placed(PdfCanvas& canvas, const Picture& picture, double place) {
  Placed one{place, kNoPicture, {}};
  if (!picture.jpeg.empty()) {
    one.height = std::min(place * picture.height / picture.width, kMostHigh);
    one.width = one.height * picture.width / picture.height;
  }
  for (const std::string& text : picture.caption)
    for (const std::string& part : canvas.lines(text, kCaption, false, place))
      one.caption.push_back(part);
  return one;
}

void put_nothing(PdfPages& pages, const Picture& picture, const Placed& at, double x) {
  pages.canvas().draw(Box{x, pages.y(), at.width, at.height, kPale, {0.3, 0, kBlack}});
  double y = pages.y() + kBody;
  for (const std::string& one :
       pages.canvas().lines(picture.about, kCaption, true, at.width - 2 * kPad)) {
    if (y > pages.y() + at.height - kCaption) break;
    pages.line(one, x + kPad, y, kCaption, true);
    y += kCaption * kLeading;
  }
}

void put(PdfPages& pages, const Picture& picture, const Placed& at, double x) {
  if (picture.jpeg.empty())
    put_nothing(pages, picture, at, x);
  else
    pages.canvas().draw(picture, x, pages.y(), at.width);
  double y = pages.y() + at.height + 1 + kCaption * kCaptionStep / 2;
  for (const std::string& one : at.caption) {
    pages.line(one, x, y, kCaption, false);
    y += kCaption * kCaptionStep;
  }
}

}  // namespace

void put_pictures(PdfPages& pages, const PictureRow& row) {
  const double place = (kContentWidth - kGap * (row.places - 1)) / row.places;
  std::vector<Placed> all;
  double high = 0;
  for (const Picture& picture : row.pictures) {
    all.push_back(placed(pages.canvas(), picture, place));
    high = std::max(high, all.back().high());
  }
  pages.need(high);
  for (std::size_t i = 0; i < all.size(); ++i)
    put(pages, row.pictures[i], all[i], pages.left() + static_cast<double>(i) * (place + kGap));
  pages.down(high + kGap);
}

}  // namespace plumbstack
