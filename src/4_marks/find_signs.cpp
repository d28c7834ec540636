// Where to look comes from the column in which the signs of this stack stand; what stands there is
// read by the sign network, and where the pack names colours, by colour. What a strip's sign is
// then told by all of this is weighed in resolve_sign.cpp.
#include <algorithm>
#include <array>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFloor = 0.05;    // of the planes
constexpr double kEndShare = 0.3;  // a sign belongs to an end within this share of the strip
constexpr double kReachMm = 6;     // around the column
constexpr double kNearMm = 4;      // what the planes may be off by
constexpr double kSure = 0.9;      // odds from which a place is not looked around
const std::array<cv::Point2d, 4> kAroundMm{{{0, -3.5}, {0, 3.5}, {-3.5, 0}, {3.5, 0}}};

const std::vector<FacePlane> kPlanes{FacePlane::plus, FacePlane::minus};

// The strongest sign of the planes in a box.
Peak strongest(const FaceMaps& maps, const cv::Rect2d& box) {
  Peak best;
  for (const FacePlane plane : kPlanes)
    for (const Peak& p : peaks_in(maps, plane, box, kFloor))
      if (p.height > best.height) best = p;
  return best;
}

// Where on the strip to look for a sign: near the column, or else where the planes see one.
std::optional<cv::Point2d> place_in(const FaceMaps& maps, const StripPlace& s,
                                    const std::optional<double>& at_x,
                                    const cv::Rect2d& otherwise) {
  if (!at_x) {
    const Peak peak = strongest(maps, otherwise);
    return peak.height > 0 ? std::optional(peak.mm) : std::nullopt;
  }
  const Peak peak =
      strongest(maps, {*at_x - kReachMm, s.top_mm, 2 * kReachMm, s.bottom_mm - s.top_mm});
  return peak.height > 0 ? peak.mm : cv::Point2d(*at_x, (s.top_mm + s.bottom_mm) / 2);
}

bool unsure(const SignOdds& odds) {
  return std::max(odds.plus, odds.minus) < kSure;
}

double shown(const SignOdds& odds) {
  return odds.plus + odds.minus;
}

// The planes are at times some millimetres off, or see nothing: where nothing sure stands at a
// place, a glance around it says where to look.
void look_around(const Photo& photo, const PlaneView& view, Nets& nets,
                 std::vector<cv::Point2d>& places, std::vector<SignOdds>& odds) {
  std::vector<std::size_t> unsure_ones, which;
  std::vector<cv::Point2d> around, better;
  for (std::size_t k = 0; k < places.size(); ++k) {
    if (!unsure(odds[k])) continue;
    unsure_ones.push_back(k);
    for (const cv::Point2d& off : kAroundMm) around.push_back(places[k] + off);
  }
  const std::vector<SignOdds> glances = glance_at_signs(photo, view, around, nets);
  for (std::size_t i = 0; i < unsure_ones.size(); ++i) {
    const auto first = glances.begin() + static_cast<std::ptrdiff_t>(i * kAroundMm.size());
    const auto best =
        std::max_element(first, first + static_cast<std::ptrdiff_t>(kAroundMm.size()),
                         [](const SignOdds& a, const SignOdds& b) { return shown(a) < shown(b); });
    if (shown(*best) <= shown(odds[unsure_ones[i]])) continue;
    which.push_back(unsure_ones[i]);
    better.push_back(around[static_cast<std::size_t>(best - glances.begin())]);
  }
  const std::vector<SignOdds> there = read_signs(photo, view, better, nets);
  for (std::size_t i = 0; i < which.size(); ++i)
    if (shown(there[i]) > shown(odds[which[i]]))
      odds[which[i]] = there[i], places[which[i]] = better[i];
}

// Of a plane's highest peak by a place that both networks may see a little beside each other.
double height_at(const FaceMaps& maps, FacePlane plane, cv::Point2d mm) {
  const auto peaks =
      peaks_in(maps, plane, {mm.x - kNearMm, mm.y - kNearMm, 2 * kNearMm, 2 * kNearMm}, kFloor);
  return peaks.empty() ? 0 : peaks.front().height;
}

struct Asked {  // one place to read, and where the answer goes
  cv::Point2d mm;
  SignSpot* spot;
};

void ask(const FaceMaps& maps, const StripPlace& s, const std::optional<double>& at_x, double from,
         double to, SignSpot& spot, std::vector<Asked>& asked) {
  const double length = s.right_mm - s.left_mm;
  spot.box = {s.left_mm + from * length, s.top_mm, (to - from) * length, s.bottom_mm - s.top_mm};
  const auto place = place_in(maps, s, at_x, spot.box);
  spot.centre_mm = place.value_or((spot.box.tl() + spot.box.br()) / 2);
  if (place) asked.push_back({*place, &spot});
}

}  // namespace

std::vector<SignsFound> find_signs(const Photo& photo, const StackFrame& frame,
                                   const FaceMaps& maps, const SignRule& rule, Nets& nets) {
  std::vector<SignsFound> found(frame.strips.size());
  const auto column =
      column_of_marks(frame, maps, kPlanes, rule.end ? Along::from_nearer_end : Along::from_left);
  std::vector<Asked> asked;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const StripPlace& s = frame.strips[i];
    const auto at = [&](double x) { return column ? std::optional(x) : std::nullopt; };
    const double d = column.value_or(0);
    if (rule.end) {
      ask(maps, s, at(s.left_mm + d), 0, kEndShare, found[i].left, asked);
      ask(maps, s, at(s.right_mm - d), 1 - kEndShare, 1, found[i].right, asked);
    } else {
      ask(maps, s, at(s.left_mm + d), 0, 1, found[i].whole, asked);
    }
  }
  std::vector<cv::Point2d> places;
  for (const Asked& a : asked) places.push_back(a.mm);
  std::vector<SignOdds> odds = read_signs(photo, frame.view, places, nets);
  look_around(photo, frame.view, nets, places, odds);
  for (std::size_t k = 0; k < asked.size(); ++k) {
    const double share = in_sight(maps, places[k]);  // what is covered shows nothing of a sign
    asked[k].spot->odds = {odds[k].plus * share, odds[k].minus * share};
    asked[k].spot->centre_mm = places[k];
    asked[k].spot->at_first_sight = {share * height_at(maps, FacePlane::plus, places[k]),
                                     share * height_at(maps, FacePlane::minus, places[k])};
  }
  if (!rule.colors.empty())
    for (SignsFound& f : found)
      for (SignSpot* spot : {&f.left, &f.right, &f.whole})
        add_color(photo, frame.view, maps, rule, *spot);
  return found;
}

}  // namespace plumbstack
