// The parts of an annotated picture, each drawn by its own file.
#pragma once

#include <algorithm>

#include "canvas.hpp"
#include "label_layout.hpp"
#include "slot_views.hpp"

namespace plumbstack {

/// What the columns of readings hold on this side.
struct ReadingColumns {
  double number = 0;   // widths in letter sizes; 0 = no such column
  double strip = 0;    // the small strip with vent and sign
  double stagger = 0;  // arrow and mm
  double least = 0;    // what "not seen" needs
  double whole() const { return std::max(number + strip + stagger, least); }
};

/// Everything that the label drawing needs to know.
struct Labels {
  const Pack& pack;
  const Side& side;
  const TrustBar& bar;
  const std::vector<SlotView>& views;
  const LabelLayout& layout;
  ReadingColumns columns;
  LabelWidths widths;
};

ReadingColumns reading_columns(Canvas& canvas, const Pack& pack, const Side& side,
                               const TrustBar& bar, const std::vector<SlotView>& views);

/// Around every strip: thin and calm where it is good, thick and double where it is wrong, dashed
/// where it is unsure.
void draw_outlines(Canvas& canvas, const Labels& labels);
void draw_slot_numbers(Canvas& canvas, const Labels& labels);
void draw_readings(Canvas& canvas, const Labels& labels);
void draw_tags(Canvas& canvas, const Labels& labels);
/// Small words above the two columns.
void draw_headings(Canvas& canvas, const Labels& labels);

/// Box of a label: white where good, striped rim where wrong, dashed rim where unsure.
void draw_label_box(Canvas& canvas, const cv::Rect2d& box, Standing standing, double letters);
Ink label_ink(Standing standing);

struct BannerText {
  Verdict verdict = Verdict::retake;
  std::string headline;  // what is the matter, in a line
  std::string context;   // side, pack, verdict of the whole stack
};
void draw_banner(Canvas& canvas, const BannerText& text, double width, double height);

/// Check mark, spanner or camera in the square around `middle`, two arms long.
void draw_verdict_sign(Canvas& canvas, Verdict verdict, cv::Point2d middle, double arm,
                       const Ink& ink, const Ink& ground);

}  // namespace plumbstack
