// A small patch of the photo around each place is read a few times, a little beside it: a sure
// answer holds in all.
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <span>

#include "plumbstack/base/in_parallel.hpp"
#include "reader_parts.hpp"

namespace plumbstack {
namespace {

// What a network takes; `beside_mm`: how far beside the place the other looks are taken.
struct Patch {
  int size;
  double px_per_mm;
  cv::Mat (*cut)(const Photo&, const PlaneView&, const CropPlace&);
  double beside_mm;
};
constexpr Patch kSignPatch{48, 4, color_crop, 1}, kVentPatch{32, 1.25, grey_crop, 2};
constexpr std::array<std::array<double, 2>, 9> kLooks{
    {{0, 0}, {-1, -1}, {1, 1}, {-1, 1}, {1, -1}, {0, -1}, {0, 1}, {-1, 0}, {1, 0}}};
using Looks = std::span<const std::array<double, 2>>;
constexpr Looks kFirstLooks = Looks(kLooks).first(3), kOtherLooks = Looks(kLooks).subspan(3);
constexpr double kSureAtOnce = 0.99;  // mean of the first looks to which no other adds

// Probabilities of the network's classes for each place, mean over the looks.
std::vector<std::vector<double>> read_patches(const Photo& photo, const PlaneView& view,
                                              const std::vector<cv::Point2d>& places_mm,
                                              CropNet& net, const Patch& patch, Looks looks) {
  if (places_mm.empty()) return {};
  std::vector<cv::Mat> patches(places_mm.size() * looks.size());
  in_parallel(patches.size(), [&](std::size_t i) {
    const auto& beside = looks[i % looks.size()];
    patches[i] = patch.cut(
        photo, view,
        {places_mm[i / looks.size()] + patch.beside_mm * cv::Point2d(beside[0], beside[1]),
         0,
         patch.px_per_mm,
         {patch.size, patch.size}});
  });
  const cv::Mat out = net.run(patches);
  const auto classes = static_cast<std::size_t>(out.cols);
  std::vector<std::vector<double>> odds(places_mm.size(), std::vector<double>(classes, 0.0));
  for (std::size_t i = 0; i < patches.size(); ++i) {
    const float* logit = out.ptr<float>(static_cast<int>(i));
    const double top = *std::max_element(logit, logit + classes);
    std::vector<double> p;
    for (std::size_t c = 0; c < classes; ++c) p.push_back(std::exp(logit[c] - top));
    const double sum = std::accumulate(p.begin(), p.end(), 0.0) * double(looks.size());
    for (std::size_t c = 0; c < classes; ++c) odds[i / looks.size()][c] += p[c] / sum;
  }
  return odds;
}

std::vector<SignOdds> sign_odds(const Photo& photo, const PlaneView& view,
                                const std::vector<cv::Point2d>& places_mm, Nets& nets,
                                Looks looks) {
  std::vector<SignOdds> odds;
  for (const auto& p : read_patches(photo, view, places_mm, nets.sign, kSignPatch, looks))
    odds.push_back({p[1], p[2]});
  return odds;
}

}  // namespace

std::vector<SignOdds> glance_at_signs(const Photo& photo, const PlaneView& view,
                                      const std::vector<cv::Point2d>& places_mm, Nets& nets) {
  return sign_odds(photo, view, places_mm, nets, kFirstLooks.first(1));
}

std::vector<SignOdds> read_signs(const Photo& photo, const PlaneView& view,
                                 const std::vector<cv::Point2d>& places_mm, Nets& nets) {
  std::vector<SignOdds> odds = sign_odds(photo, view, places_mm, nets, kFirstLooks);
  std::vector<std::size_t> which;
  std::vector<cv::Point2d> unsure;
  for (std::size_t i = 0; i < odds.size(); ++i) {
    const double nothing = 1 - odds[i].plus - odds[i].minus;
    if (std::max({odds[i].plus, odds[i].minus, nothing}) >= kSureAtOnce) continue;
    which.push_back(i), unsure.push_back(places_mm[i]);
  }
  const std::vector<SignOdds> more = sign_odds(photo, view, unsure, nets, kOtherLooks);
  constexpr double kShare = double(kFirstLooks.size()) / double(kLooks.size());
  for (std::size_t k = 0; k < which.size(); ++k) {
    SignOdds& o = odds[which[k]];
    o.plus = kShare * o.plus + (1 - kShare) * more[k].plus;
    o.minus = kShare * o.minus + (1 - kShare) * more[k].minus;
  }
  return odds;
}

std::vector<double> read_vents(const Photo& photo, const PlaneView& view,
                               const std::vector<cv::Point2d>& places_mm, Nets& nets) {
  std::vector<double> odds;
  for (const auto& p : read_patches(photo, view, places_mm, nets.vent, kVentPatch, kFirstLooks))
    odds.push_back(p[1]);
  return odds;
}

}  // namespace plumbstack
