// A small patch of the photo around each place is read as plus, minus or neither, a few times a
// little beside it: a sure answer holds in all.
#include <algorithm>
#include <array>
#include <cmath>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

constexpr int kSize = 32;          // px, of the network's input
constexpr double kBesideMm = 1.0;  // how far beside the place the other looks are taken
constexpr std::array<std::array<double, 2>, 5> kLooks{{{0, 0}, {-1, -1}, {1, -1}, {1, 1}, {-1, 1}}};

}  // namespace

std::vector<SignOdds> read_signs(const Photo& photo, const PlaneView& view,
                                 const std::vector<cv::Point2d>& places_mm, Nets& nets,
                                 std::size_t looks) {
  std::vector<SignOdds> odds(places_mm.size());
  if (places_mm.empty()) return odds;
  looks = std::min(looks, kLooks.size());
  std::vector<cv::Mat> patches;
  for (const cv::Point2d& place : places_mm)
    for (std::size_t k = 0; k < looks; ++k)
      patches.push_back(grey_crop(photo, view,
                                  {place + kBesideMm * cv::Point2d(kLooks[k][0], kLooks[k][1]),
                                   0,
                                   kSignPxPerMm,
                                   {kSize, kSize}}));
  nets.sign.setInput(cv::dnn::blobFromImages(patches));
  const cv::Mat out = nets.sign.forward();
  for (std::size_t i = 0; i < patches.size(); ++i) {
    const float* logit = out.ptr<float>(static_cast<int>(i));
    const double top = std::max({logit[0], logit[1], logit[2]});
    const double none = std::exp(logit[0] - top), plus = std::exp(logit[1] - top),
                 minus = std::exp(logit[2] - top), sum = none + plus + minus;
    SignOdds& to = odds[i / looks];
    to.plus += plus / sum / double(looks);
    to.minus += minus / sum / double(looks);
  }
  return odds;
}

}  // namespace plumbstack
