// Where to look comes from the column in which the signs of this stack stand; what stands there is
// read by the sign network, and where the pack names colours, by colour. All evidence of a strip,
// what the face network saw there and that of its other end turned round, is weighed together.
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
constexpr double kColorOdds = 50;   // of the sign a colour stands for, against the other
constexpr double kFullOdds = 25;    // logarithm of the odds at which the score is 1
constexpr double kLeastFit = 1e-5;  // no evidence is worth more than this against a sign

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

// The planes are at times some millimetres off, or see nothing: where nothing sure stands at a
// place, a glance around it says where to look.
void look_around(const Photo& photo, const PlaneView& view, Nets& nets,
                 std::vector<cv::Point2d>& places, std::vector<SignOdds>& odds) {
  std::vector<std::size_t> which;
  std::vector<cv::Point2d> around, better;
  for (std::size_t k = 0; k < places.size(); ++k) {
    if (!unsure(odds[k])) continue;
    which.push_back(k);
    for (const cv::Point2d& off : kAroundMm) around.push_back(places[k] + off);
  }
  const std::vector<SignOdds> glances = read_signs(photo, view, around, nets, 1);
  for (std::size_t i = 0; i < which.size(); ++i) {
    const auto first = glances.begin() + static_cast<std::ptrdiff_t>(i * kAroundMm.size());
    const auto best = std::max_element(
        first, first + static_cast<std::ptrdiff_t>(kAroundMm.size()),
        [](const SignOdds& a, const SignOdds& b) { return a.plus + a.minus < b.plus + b.minus; });
    better.push_back(around[static_cast<std::size_t>(best - glances.begin())]);
  }
  const std::vector<SignOdds> there = read_signs(photo, view, better, nets);
  for (std::size_t i = 0; i < which.size(); ++i)
    if (there[i].plus + there[i].minus > odds[which[i]].plus + odds[which[i]].minus)
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

double of_sign(const SignOdds& odds, Sign sign) {
  return sign == Sign::plus ? odds.plus : odds.minus;
}

// How well the spot fits a sign; what shows nothing fits both alike.
double fit(const SignSpot& spot, Sign sign) {
  const double nothing = std::max(0.0, 1 - spot.odds.plus - spot.odds.minus);
  return (kLeastFit + of_sign(spot.odds, sign) + nothing / 2) *
         (kFloor + of_sign(spot.at_first_sight, sign)) *
         (spot.color && *spot.color == sign ? kColorOdds : 1);
}

bool contradicts_itself(const SignSpot& spot) {
  if (!spot.color) return false;
  const double with = *spot.color == Sign::plus ? spot.odds.plus : spot.odds.minus;
  const double against = *spot.color == Sign::plus ? spot.odds.minus : spot.odds.plus;
  return against > 0.5 && against > with;
}

// Of what paint lies on, the shape may not show: where the other end bears out the colour.
bool hidden_by_paint(const SignSpot& spot, const SignSpot& other) {
  const double bears_out = spot.color == Sign::plus ? other.odds.minus : other.odds.plus;
  return contradicts_itself(spot) && spot.painted && bears_out > 0.5;
}

// Pixels that show a sign, against those that the network sees: what the photo does not show is not
// told well, however sure the network is (of signs drawn at under 1.8 px/mm ten times as many were
// told wrong as of finer ones).
double shown_share(const PlaneView& view, cv::Point2d mm) {
  return std::min(1.0, std::pow(view.px_per_mm(mm).x / kSignPxPerMm, 2));
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

SignMark resolve_sign(const SignsFound& found, const std::optional<End>& named,
                      const PlaneView& view, const Calibration& calibration) {
  SignSpot own = !named ? found.whole : *named == End::left ? found.left : found.right;
  SignSpot far = !named ? SignSpot{} : *named == End::left ? found.right : found.left;
  if (hidden_by_paint(own, far))
    own.odds = own.at_first_sight = {};
  else if (hidden_by_paint(far, own))
    far.odds = far.at_first_sight = {};
  const double plus = fit(own, Sign::plus) * fit(far, Sign::minus),
               minus = fit(own, Sign::minus) * fit(far, Sign::plus);
  SignMark mark;
  if (plus == minus) return mark;
  const auto told = [](const SignSpot& s) {
    return s.color ? 1.0 : std::max(s.odds.plus, s.odds.minus);
  };
  mark.sign = plus > minus ? Sign::plus : Sign::minus;
  mark.score = std::min(1.0, std::abs(std::log(plus / minus)) / kFullOdds) *
               shown_share(view, own.centre_mm);
  const bool against_color =
      (own.color && *own.color != *mark.sign) || (far.color && *far.color == *mark.sign);
  if (against_color || contradicts_itself(own) || contradicts_itself(far)) mark.score = 0;
  mark.confidence = calibration.look_up(mark.score);
  mark.from_opposite = told(far) > told(own);
  mark.centre_in_photo = view.to_photo((mark.from_opposite ? far : own).centre_mm);
  return mark;
}

}  // namespace plumbstack
