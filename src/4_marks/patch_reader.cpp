// A small patch of the photo around each place is read a few times, a little beside it: a sure
// answer holds in all.
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "plumbstack/base/in_parallel.hpp"
#include "reader_parts.hpp"

namespace plumbstack {
namespace {

constexpr int kSize = 32;          // px, of the networks' input
constexpr double kBesidePx = 2.5;  // how far beside the place the other looks are taken
constexpr std::array<std::array<double, 2>, 3> kLooks{{{0, 0}, {-1, -1}, {1, 1}}};

// Probabilities of the network's classes for each place, mean over the looks.
std::vector<std::vector<double>> read_patches(const Photo& photo, const PlaneView& view,
                                              const std::vector<cv::Point2d>& places_mm,
                                              CropNet& net, double px_per_mm, std::size_t looks) {
  if (places_mm.empty()) return {};
  looks = std::min(looks, kLooks.size());
  std::vector<cv::Mat> patches(places_mm.size() * looks);
  in_parallel(patches.size(), [&](std::size_t i) {
    const auto& beside = kLooks[i % looks];
    patches[i] =
        grey_crop(photo, view,
                  {places_mm[i / looks] + kBesidePx / px_per_mm * cv::Point2d(beside[0], beside[1]),
                   0,
                   px_per_mm,
                   {kSize, kSize}});
  });
  const cv::Mat out = net.run(patches);
  const auto classes = static_cast<std::size_t>(out.cols);
  std::vector<std::vector<double>> odds(places_mm.size(), std::vector<double>(classes, 0.0));
  for (std::size_t i = 0; i < patches.size(); ++i) {
    const float* logit = out.ptr<float>(static_cast<int>(i));
    const double top = *std::max_element(logit, logit + classes);
    std::vector<double> p;
    for (std::size_t c = 0; c < classes; ++c) p.push_back(std::exp(logit[c] - top));
    const double sum = std::accumulate(p.begin(), p.end(), 0.0) * double(looks);
    for (std::size_t c = 0; c < classes; ++c) odds[i / looks][c] += p[c] / sum;
  }
  return odds;
}

}  // namespace

std::vector<SignOdds> read_signs(const Photo& photo, const PlaneView& view,
                                 const std::vector<cv::Point2d>& places_mm, Nets& nets,
                                 std::size_t looks) {
  std::vector<SignOdds> odds;
  for (const auto& p : read_patches(photo, view, places_mm, nets.sign, kSignPxPerMm, looks))
    odds.push_back({p[1], p[2]});
  return odds;
}

std::vector<double> read_vents(const Photo& photo, const PlaneView& view,
                               const std::vector<cv::Point2d>& places_mm, Nets& nets) {
  constexpr double kVentPxPerMm = 1.25;
  std::vector<double> odds;
  for (const auto& p : read_patches(photo, view, places_mm, nets.vent, kVentPxPerMm, kLooks.size()))
    odds.push_back(p[1]);
  return odds;
}

}  // namespace plumbstack
