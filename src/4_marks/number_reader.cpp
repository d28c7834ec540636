// The network reads each writing from the full photo, at three framings whose answers are averaged:
// where the finder's box is off, one of them fits better, and a sure answer holds in all.
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr int kWidth = 96, kHeight = 48;      // crop of the reader, px
constexpr double kTextPx = 28, kLongPx = 82;  // height of the text in it, and its greatest length
constexpr std::array<double, 3> kFramings{1.0, 0.88, 1.14};

cv::Mat cut(const Photo& photo, const PlaneView& view, const Writing& w, double rotation_deg,
            double framing) {
  const double scale =
      std::min(kTextPx / w.height_mm, kLongPx / w.length_mm) * framing;  // px per mm
  const double photo_scale = cv::norm(view.to_photo(w.centre_mm + cv::Point2d(0.5, 0)) -
                                      view.to_photo(w.centre_mm - cv::Point2d(0.5, 0)));
  const int fine = std::clamp(static_cast<int>(std::lround(photo_scale / scale)), 1,
                              4);  // photo finer than the crop: average
  const double a = rotation_deg * CV_PI / 180, c = std::cos(a) / (scale * fine),
               s = std::sin(a) / (scale * fine);
  cv::Mat map(kHeight * fine, kWidth * fine, CV_32FC2), crop;
  for (int y = 0; y < map.rows; ++y)
    for (int x = 0; x < map.cols; ++x) {
      const double u = x - (map.cols - 1) / 2.0, v = y - (map.rows - 1) / 2.0;
      const cv::Point2d p = view.to_photo(w.centre_mm + cv::Point2d(u * c - v * s, u * s + v * c));
      map.at<cv::Vec2f>(y, x) = {static_cast<float>(p.x), static_cast<float>(p.y)};
    }
  cv::remap(photo.pixels, crop, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_REPLICATE);
  if (fine > 1) cv::resize(crop, crop, {kWidth, kHeight}, 0, 0, cv::INTER_AREA);
  cv::Mat grey, out;
  cv::cvtColor(crop, grey, cv::COLOR_BGR2GRAY);
  grey.convertTo(out, CV_32F, 1 / 255.0);
  cv::Scalar mean, sd;
  cv::meanStdDev(out, mean, sd);
  return (out - mean[0]) / (sd[0] + 0.02);
}

// Probabilities of length 0..4 and of four places of 0-9 and none, softmaxed in their groups.
std::vector<double> probabilities(const float* logits, double temperature) {
  std::vector<double> p(49);
  const auto softmax = [&](int from, int n) {
    double top = -1e9, sum = 0;
    for (int i = from; i < from + n; ++i) top = std::max(top, logits[i] / temperature);
    for (int i = from; i < from + n; ++i)
      sum += p[static_cast<std::size_t>(i)] = std::exp(logits[i] / temperature - top);
    for (int i = from; i < from + n; ++i) p[static_cast<std::size_t>(i)] /= sum;
  };
  softmax(0, 5);
  for (int place = 0; place < 4; ++place) softmax(5 + 11 * place, 11);
  return p;
}

Reading decode(const std::vector<double>& p) {
  const auto length = std::max_element(p.begin(), p.begin() + 5) - p.begin();
  Reading reading{"", p[static_cast<std::size_t>(length)]};
  for (std::ptrdiff_t place = 0; place < length; ++place) {
    const auto first = p.begin() + 5 + 11 * place, best = std::max_element(first, first + 10);
    reading.text += static_cast<char>('0' + (best - first));
    reading.score = std::min(reading.score, *best);
  }
  return reading;
}

}  // namespace

void NetReader::read(const Photo& photo, const PlaneView& view,
                     std::vector<std::vector<Writing>>& writings) {
  std::vector<cv::Mat> crops;
  std::vector<Writing*> owners;
  for (auto& strip : writings)
    for (Writing& w : strip) owners.push_back(&w);
  for (const Writing* w : owners)
    for (int turn : {0, 180})
      for (double framing : kFramings)
        crops.push_back(cut(photo, view, *w, w->rotation_deg + turn, framing));
  if (crops.empty()) return;
  cv::Mat out;
  nets_.reader.setInput(cv::dnn::blobFromImages(crops));
  out = nets_.reader.forward();
  const float* logits = out.ptr<float>();
  constexpr std::size_t kShots = kFramings.size();
  for (std::size_t i = 0; i < owners.size() * 2; ++i) {
    std::vector<double> mean(49, 0.0);
    for (std::size_t shot = 0; shot < kShots; ++shot) {
      const std::vector<double> p =
          probabilities(logits + (i * kShots + shot) * 49, nets_.calibrations.reader_temperature);
      for (std::size_t j = 0; j < p.size(); ++j) mean[j] += p[j] / kShots;
    }
    (i % 2 == 0 ? owners[i / 2]->upright : owners[i / 2]->turned) = decode(mean);
  }
}

}  // namespace plumbstack
