// The ink of a crop for an engine that was made for printed pages: scaled, smoothed, black on white
// by Otsu's threshold (Otsu 1979) after its ground is taken off, without what runs out of the crop.
// Binarised here rather than by the engine, it makes a ninth of the errors on short numbers.
#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "second_reader.hpp"

namespace plumbstack {
namespace {

constexpr int kRim = 8;               // px of background; a wide one makes the engine lose digits
constexpr double kGround = 2.5;       // text heights over which the ground is averaged
constexpr double kLeastContrast = 6;  // grey levels between ink and ground: less is the plastic
constexpr double kMostInk = 0.5;      // share of the crop: more is no writing
constexpr double kSpeck = 0.22;       // of the text's height: lower pieces are dirt, no digits
constexpr double kIntrusion = 0.12;   // of the text's height, into its box
constexpr double kCutDigit = 0.4;  // of the text's height: so high a piece at a border is a digit

double contrast(const cv::Mat& apart, const cv::Mat& ink) {
  cv::Mat ground;
  cv::bitwise_not(ink, ground);
  return cv::mean(apart, ink)[0] - cv::mean(apart, ground)[0];
}

struct Piece {
  cv::Rect box;
  double centre_y = 0;
};

// Ribs, grooves and neighbours run right across the crop or lie along its upper and lower border;
// what is lower than a digit's part is dirt.
bool is_digit_like(const Piece& p, cv::Size crop, double text_px) {
  const bool across = p.box.width == crop.width || p.box.height == crop.height;
  const bool beyond = p.centre_y < 0.12 * crop.height || p.centre_y > 0.88 * crop.height;
  return !across && !beyond && std::max(p.box.width, p.box.height) >= kSpeck * text_px;
}

// A digit that the crop's left or right border cuts: the number goes on beyond.
bool is_cut_digit(const Piece& p, cv::Size crop, double text_px) {
  return (p.box.x == 0 || p.box.br().x == crop.width) && p.box.height >= kCutDigit * text_px;
}

// A rib or groove that reaches into the box of the writing: a thin digit may hang on it.
bool hides_digit(const Piece& p, cv::Size crop, double text_px) {
  const double margin = kGroundBeside * text_px, reach = kIntrusion * text_px;
  return p.box.height == crop.height && p.box.width < crop.width && p.box.br().x > margin + reach &&
         p.box.x < crop.width - margin - reach;
}

// Leaves what may be digits in `ink` (255 = ink). False where a digit may be missing: both readers
// see the same cut and the same rib, so that their agreement on the rest would prove nothing.
bool keep_writing(cv::Mat& ink, double text_px) {
  cv::Mat labels, stats, centres;
  const int n = cv::connectedComponentsWithStats(ink, labels, stats, centres);
  std::vector<uchar> keep(static_cast<std::size_t>(n), 0);
  for (int i = 1; i < n; ++i) {
    const Piece piece{{stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                       stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)},
                      centres.at<double>(i, 1)};
    if (hides_digit(piece, ink.size(), text_px)) return false;
    if (!is_digit_like(piece, ink.size(), text_px)) continue;
    if (is_cut_digit(piece, ink.size(), text_px)) return false;
    keep[static_cast<std::size_t>(i)] = 255;
  }
  for (int y = 0; y < ink.rows; ++y)
    for (int x = 0; x < ink.cols; ++x)
      ink.at<uchar>(y, x) = keep[static_cast<std::size_t>(labels.at<int>(y, x))];
  return true;
}

}  // namespace

cv::Mat ink_of(const cv::Mat& grey, double text_px, double to_px, Tone tone) {
  if (grey.empty() || text_px < 4) return {};
  const double scale = to_px / text_px;
  cv::Mat scaled, ground, ink;
  cv::resize(grey, scaled, {}, scale, scale, scale < 1 ? cv::INTER_AREA : cv::INTER_CUBIC);
  if (scaled.cols < 8 || scaled.rows < 8) return {};
  const int reach = static_cast<int>(kGround * to_px) | 1;
  cv::blur(scaled, ground, {reach, reach});
  cv::Mat apart;  // what is darker or lighter than its surroundings; the other side is cut off at 0
  if (tone == Tone::dark)
    cv::subtract(ground, scaled, apart);
  else
    cv::subtract(scaled, ground, apart);
  cv::GaussianBlur(apart, apart, {3, 3}, 0);
  cv::threshold(apart, ink, 0, 255, cv::THRESH_BINARY | cv::THRESH_OTSU);
  if (contrast(apart, ink) < kLeastContrast) return {};
  if (!keep_writing(ink, to_px)) return {};
  const double share = double(cv::countNonZero(ink)) / double(ink.total());
  if (share == 0 || share > kMostInk) return {};
  cv::Mat page;
  cv::bitwise_not(ink(cv::boundingRect(ink)), page);
  cv::copyMakeBorder(page, page, kRim, kRim, kRim, kRim, cv::BORDER_CONSTANT, cv::Scalar(255));
  return page;
}

}  // namespace plumbstack
