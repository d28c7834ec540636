// The annotated photo. The labels need room beside the stack; where the photo has none, it is drawn
// shifted or smaller on a canvas of the same size, so that nothing ever lies on the marks.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "picture_parts.hpp"
#include "plumbstack/record.hpp"
#include "shrink.hpp"

namespace plumbstack {
namespace {

constexpr double kLargestMegapixels = 12.5;  // beyond it nothing is easier to read
constexpr double kLongestSide = 16384;       // px; well inside what a JPEG and the canvas can hold
constexpr double kStudMm = 16;               // terminals stick out past the ends of the strips
constexpr double kWidestTag = 15;            // in letter sizes

cv::Size scaled_size(cv::Size size, double scale) {
  return {std::max(1, static_cast<int>(std::lround(size.width * scale))),
          std::max(1, static_cast<int>(std::lround(size.height * scale)))};
}

cv::Size canvas_size(cv::Size photo) {
  const double area = static_cast<double>(photo.width) * photo.height;
  const double scale = std::min({1.0, std::sqrt(kLargestMegapixels * 1e6 / area),
                                 kLongestSide / std::max(photo.width, photo.height)});
  return scaled_size(photo, scale);
}

double banner_height(cv::Size canvas) {
  return 0.115 * std::min(canvas.width, canvas.height);
}

// The photo on the canvas at a scale and place, what lies beyond it as paper. The photo is let go
// before the canvas is made: of a large one each takes tens of megabytes.
cv::Mat on_canvas(cv::Mat photo, cv::Size size, double scale, cv::Point2d at) {
  cv::Mat bgra;
  if (scale == 1 && at == cv::Point2d(0, 0)) {
    cv::cvtColor(photo, bgra, cv::COLOR_BGR2BGRA);
    return bgra;
  }
  const cv::Mat scaled = shrunk(photo, scaled_size(photo.size(), scale));
  photo.release();
  bgra = cv::Mat(size, CV_8UC4,
                 cv::Scalar(255 * kPaper.blue, 255 * kPaper.green, 255 * kPaper.red, 255));
  const cv::Rect place(cv::Point(cvRound(at.x), cvRound(at.y)), scaled.size());
  const cv::Rect seen = place & cv::Rect({}, size);
  if (!seen.empty()) cv::cvtColor(scaled(seen - place.tl()), bgra(seen), cv::COLOR_BGR2BGRA);
  return bgra;
}

int faults(const Check& check, const std::string& side) {
  int count = 0;
  for (const Finding& f : check.judgement.findings)
    if ((f.side.empty() || f.side == side) && f.severity != Severity::note) ++count;
  return count;
}

const Finding* worst_finding(const Check& check, const std::string& side) {
  const Finding* worst = nullptr;
  for (const Finding& f : check.judgement.findings) {
    if (!f.side.empty() && f.side != side) continue;
    if (!worst || f.severity > worst->severity) worst = &f;
  }
  return worst && worst->severity != Severity::note ? worst : nullptr;
}

BannerText banner_text(const Pack& pack, const Check& check, std::size_t index) {
  const CheckedPhoto& photo = check.photos[index];
  BannerText text;
  text.verdict = check.judgement.side_verdicts[index];
  const Finding* worst = worst_finding(check, photo.side);
  if (worst)
    text.headline = sentence(worst->message);
  else if (text.verdict == Verdict::pass)
    text.headline = "All " + std::to_string(pack.modules) + " slots of this side are right";
  const Verdict whole = check.judgement.verdict;
  text.context = std::string("whole stack: ") +
                 (whole == Verdict::pass  ? "PASS"
                  : whole == Verdict::fix ? "FIX"
                                          : "RETAKE") +
                 "  ·  side " + photo.side + "  ·  " + pack.id;
  const int more = faults(check, photo.side) - 1;
  if (more > 0) text.headline += " (and " + std::to_string(more) + " more)";
  return text;
}

double tag_width(Canvas& canvas, const std::vector<SlotView>& views) {
  double widest = 0;
  for (const Tag& tag : tags_of(views))
    widest = std::max(widest, canvas.text_width(tag.text, 1.0) + 1.95);
  return std::min(widest, kWidestTag);
}

// Text is measured before the canvas is known, on one of a single pixel.
LabelWidths label_widths(const Pack& pack, const Side& side, const TrustBar& bar,
                         const std::vector<SlotView>& views, ReadingColumns& columns) {
  Canvas ruler(cv::Mat(1, 1, CV_8UC4, cv::Scalar::all(0)));
  columns = reading_columns(ruler, pack, side, bar, views);
  LabelWidths widths;
  widths.slot = ruler.text_width(std::to_string(views.back().slot), 1.0) + 0.7;
  widths.reading = columns.whole() + 0.6;
  widths.tag = tag_width(ruler, views);
  return widths;
}

cv::Mat labelled(const Pack& pack, const Check& check, std::size_t index,
                 const std::vector<SlotView>& views, const Side& side) {
  const CheckedPhoto& photo = check.photos[index];
  const cv::Size size = canvas_size(size_of(photo.photo));
  const double banner = banner_height(size);
  const double mm_per_px = photo.evidence.marks.capture.mm_per_px;
  ReadingColumns columns;
  const LabelWidths widths = label_widths(pack, side, check.trust_bar, views, columns);
  const LabelLayout layout = lay_out(views, widths, size_of(photo.photo), size, banner,
                                     mm_per_px > 0 ? kStudMm / mm_per_px : 0);
  Canvas canvas(on_canvas(pixels_of(photo.photo), size, layout.photo_scale, layout.photo_at));
  const Labels labels{pack, side, check.trust_bar, views, layout, columns, widths};
  draw_outlines(canvas, labels);
  draw_slot_numbers(canvas, labels);
  draw_readings(canvas, labels);
  draw_tags(canvas, labels);
  draw_headings(canvas, labels);
  draw_banner(canvas, banner_text(pack, check, index), size.width, banner);
  return canvas.finished();
}

}  // namespace

cv::Mat annotated_photo(const Pack& pack, const Check& check, std::size_t index) {
  const CheckedPhoto& photo = check.photos[index];
  std::vector<SlotView> views = slot_views(pack, check, index);
  std::erase_if(views, [](const SlotView& view) { return !view.has_face; });
  const Side* side = pack.side(photo.side);
  if (side && !views.empty()) return labelled(pack, check, index, views, *side);
  const cv::Size size = canvas_size(size_of(photo.photo));
  const double scale = static_cast<double>(size.width) / size_of(photo.photo).width;
  Canvas canvas(on_canvas(pixels_of(photo.photo), size, scale, {0, 0}));
  draw_banner(canvas, banner_text(pack, check, index), size.width, banner_height(size));
  return canvas.finished();
}

}  // namespace plumbstack
