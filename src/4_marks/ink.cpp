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

double contrast(const cv::Mat& apart, const cv::Mat& ink) {
  cv::Mat ground;
  cv::bitwise_not(ink, ground);
  return cv::mean(apart, ink)[0] - cv::mean(apart, ground)[0];
}

// Takes away pieces that are lower than a digit's part or that run along the crop's border: ribs,
// grooves, neighbours. `ink` is 255 where there is ink.
void keep_writing(cv::Mat& ink, double text_px) {
  cv::Mat labels, stats, centres;
  const int n = cv::connectedComponentsWithStats(ink, labels, stats, centres);
  std::vector<uchar> keep(static_cast<std::size_t>(n), 0);
  for (int i = 1; i < n; ++i) {
    const int x = stats.at<int>(i, cv::CC_STAT_LEFT), y = stats.at<int>(i, cv::CC_STAT_TOP),
              w = stats.at<int>(i, cv::CC_STAT_WIDTH), h = stats.at<int>(i, cv::CC_STAT_HEIGHT);
    const bool crosses = (x == 0 && x + w == ink.cols) || (y == 0 && y + h == ink.rows);
    const bool outside =
        centres.at<double>(i, 1) < 0.12 * ink.rows || centres.at<double>(i, 1) > 0.88 * ink.rows;
    keep[static_cast<std::size_t>(i)] =
        !crosses && !outside && std::max(w, h) >= kSpeck * text_px ? 255 : 0;
  }
  for (int y = 0; y < ink.rows; ++y)
    for (int x = 0; x < ink.cols; ++x)
      ink.at<uchar>(y, x) = keep[static_cast<std::size_t>(labels.at<int>(y, x))];
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
  keep_writing(ink, to_px);
  const double share = double(cv::countNonZero(ink)) / double(ink.total());
  if (share == 0 || share > kMostInk) return {};
  cv::Mat page;
  cv::bitwise_not(ink(cv::boundingRect(ink)), page);
  cv::copyMakeBorder(page, page, kRim, kRim, kRim, kRim, cv::BORDER_CONSTANT, cv::Scalar(255));
  return page;
}

}  // namespace plumbstack
