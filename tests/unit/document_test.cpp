// A document on pages: nothing is cut, nothing is lost, the same text gives the same bytes.
#include "plumbstack/document.hpp"

#include <gmock/gmock.h>

#include "pdf_pages.hpp"
#include "shaped_text.hpp"

namespace plumbstack {
namespace {

using testing::HasSubstr;
using testing::Not;

Document with_standing(bool good) {
  Document document;
  document.title = "Job <1>";
  document.header = "Job <1>";
  document.standing = {"OPEN & NOT DONE", {"why <b>"}, good};
  document.made_at = "2026-03-02T07:00:00Z";
  document.sections.push_back({"", false, {document.standing}});
  return document;
}

// A grey JPEG is not needed to lay it out: only its size is.
Picture picture(int width, int height, std::size_t lines) {
  return {"", width, height, "nothing to see",
          std::vector<std::string>(lines, "a line of its caption")};
}

TEST(DocumentPdf, NoPictureIsCutByAPage) {
  for (double filled = 0; filled < 244; filled += 6.5)
    for (const std::size_t lines : {0u, 3u, 12u}) {
      const Document document = with_standing(true);
      PdfCanvas canvas(Paper::letter, "test");
      PdfPages pages(document, canvas, 1);
      const double top = pages.y();
      pages.down(filled);
      put_pictures(pages, {{picture(300, 400, lines), picture(400, 300, 1)}});
      EXPECT_GE(pages.room(), -pdf::kGap - 1e-9) << filled;
      // On the page where it began, or whole on the next.
      const bool moved = pages.page() == 2;
      EXPECT_EQ(pages.page(), moved ? 2 : 1);
      EXPECT_GT(pages.y(), moved ? top : top + filled);
    }
}

TEST(DocumentPdf, ARowHigherThanAPageGoesOnOverPages) {
  const Document document = with_standing(true);
  std::string words;
  for (int i = 0; i < 900; ++i) words += "word ";
  for (const double filled : {0.0, 120.0, 235.0}) {
    PdfCanvas canvas(Paper::a4, "test");
    PdfPages pages(document, canvas, 1);
    pages.down(filled);
    put_table(pages, {{{"a", 1}, {"b", 5}}, {{{words, "b"}, false, "below"}, {{"c", "d"}, true}}});
    EXPECT_GE(pages.page(), 3);
    EXPECT_GE(pages.room(), -pdf::kGap - 1e-9);
  }
}

TEST(DocumentPdf, TheSameDocumentGivesTheSameBytes) {
  const Document document = with_standing(false);
  const auto first = document_pdf(document, Paper::a4);
  ASSERT_TRUE(first);
  EXPECT_EQ(*first, *document_pdf(document, Paper::a4));
  EXPECT_NE(*first, *document_pdf(document, Paper::letter));
  EXPECT_THAT(*first, HasSubstr("20260302070000"));  // not the time of the day it was made
}

TEST(DocumentHtml, WhatIsNotGoodStandsOnBlack) {
  const std::string open = document_html(with_standing(false));
  EXPECT_THAT(open, HasSubstr("<div class=\"banner not\"><b>OPEN &amp; NOT DONE</b>"));
  EXPECT_THAT(open, HasSubstr("why &lt;b&gt;"));
  EXPECT_THAT(document_html(with_standing(true)), Not(HasSubstr("\"banner not\"")));
}

TEST(DocumentHtml, APictureThatIsNotThereSaysWhy) {
  Document document;
  document.sections.push_back({"", false, {PictureRow{{picture(0, 0, 1)}, 1}}});
  EXPECT_THAT(document_html(document), HasSubstr("<div class=\"none\">nothing to see</div>"));
}

TEST(ShapedText, OnlyWhatNeedsItIsShaped) {
  for (const char* text : {"", "Plain", "Grüße", "Ελένη Ω", "Юлия", "→ ☐ ✗ … µ"})
    EXPECT_FALSE(needs_shaping(text)) << text;
  for (const char* text : {"高橋", "מיכל", "احمد", "हिन्दी", "e\u0301"})
    EXPECT_TRUE(needs_shaping(text)) << text;
}

TEST(ShapedText, HasAWidthThatGrowsWithItsSize) {
  PdfCanvas canvas(Paper::a4, "test");
  for (const char* text : {"高橋", "מיכל"}) {
    const double small = canvas.text_width(text, 3, false);
    EXPECT_GT(small, 2);
    EXPECT_NEAR(canvas.text_width(text, 6, false), 2 * small, 0.05);
  }
}

TEST(PdfCanvas, ControlCharactersPartWords) {
  PdfCanvas canvas(Paper::a4, "test");
  EXPECT_THAT(canvas.lines("one\ntwo\tthree", 4, false, 100),
              testing::ElementsAre("one two three"));
}

}  // namespace
}  // namespace plumbstack
