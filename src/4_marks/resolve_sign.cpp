// What both ends of a strip, each by its shape, its colour and what the face network saw there, say
// of its sign: a logistic regression (weights fitted by tools/calibrate on drawn scenes not used in
// training). The signs of a side are of one make under one light. Where the others are in doubt,
// the same evidence is worth less; where most read alike, as on a side whose pluses have lost a
// bar, what they have in common tells nothing of the one. Both only take away: no reading becomes
// another. Colour that most strips show at the same end is a cable or a strap, and no evidence; a
// reading that goes against colour is never trusted.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kLeast = 1e-5;      // no shape is worth more than this against a sign
constexpr double kLeastSeen = 0.05;  // nor what the face network saw
constexpr double kFullOdds = 15;     // logarithm of the odds at which the score is 1
constexpr double kOthers = 4;        // power of what the other signs of the side are worth
constexpr double kUsual = 0.97;  // their mean on the drawn sides: with few others it is as usual
constexpr double kMostLean = 8;  // of one sign's odds
constexpr double kClear = 0.9;   // probability of a shape that paint can't outweigh
constexpr double kFew = 2;       // others that say nothing, added to theirs

// Each speaks for a plus where it is over 0; what shows nothing speaks for neither.
double shape(const SignEvidence& e) {
  const double nothing = std::max(0.0, 1 - e.plus - e.minus) / 2;
  return std::log((kLeast + e.plus + nothing) / (kLeast + e.minus + nothing));
}

double first_sight(const SignEvidence& e) {
  return std::log((kLeastSeen + e.seen_plus) / (kLeastSeen + e.seen_minus));
}

double paint(const SignEvidence& e) {
  return !e.color ? 0 : *e.color == Sign::plus ? 1 : -1;
}

// 1 where paint tells a plus, -1 a minus; what it says at the other end is the other sign's.
double painted(const SignEvidence& own, const SignEvidence& far) {
  return std::clamp(paint(own) - paint(far), -1.0, 1.0);
}

// Logarithm of the odds of a plus against a minus; the other end carries the other sign.
double log_odds(const SignEvidence& own, const SignEvidence& far, double paint_alone) {
  return 0.95 * shape(own) - 0.94 * shape(far) + 1.29 * first_sight(own) - 0.53 * first_sight(far) +
         5.40 * paint_alone * painted(own, far);
}

// A clear shape under paint that stands for the other sign; a doubtful one is weighed against it.
bool contradicts_itself(const SignSpot& spot) {
  if (!spot.color) return false;
  const double with = *spot.color == Sign::plus ? spot.odds.plus : spot.odds.minus;
  const double against = *spot.color == Sign::plus ? spot.odds.minus : spot.odds.plus;
  return against > kClear && against > with;
}

// Of what paint lies on, the shape may not show: where the other end bears out the colour.
bool hidden_by_paint(const SignSpot& spot, const SignSpot& other) {
  const double bears_out = spot.color == Sign::plus ? other.odds.minus : other.odds.plus;
  return contradicts_itself(spot) && spot.painted && bears_out > 0.5;
}

SignEvidence evidence_of(const SignSpot& s) {
  return {s.odds.plus, s.odds.minus, s.at_first_sight.plus, s.at_first_sight.minus, s.color};
}

double clearness(const SignSpot& s) {
  return s.color ? 1.0 : std::max(s.odds.plus, s.odds.minus);
}

struct Weighed {
  SignSpot own, far;
  double paint_alone = 1;
  double odds = 0;  // logarithm, over 0 for a plus
};

Weighed ends_of(const SignsFound& found, const std::optional<End>& named) {
  Weighed w;
  w.own = !named ? found.whole : *named == End::left ? found.left : found.right;
  if (named) w.far = *named == End::left ? found.right : found.left;
  if (hidden_by_paint(w.own, w.far))
    w.own.odds = w.own.at_first_sight = {};
  else if (hidden_by_paint(w.far, w.own))
    w.far.odds = w.far.at_first_sight = {};
  return w;
}

double painted(const Weighed& w) {
  return painted(evidence_of(w.own), evidence_of(w.far));
}

std::vector<Weighed> weigh(const std::vector<SignsFound>& found, const std::optional<End>& named) {
  std::vector<Weighed> all;
  double painted_all = 0;
  for (const SignsFound& f : found) painted_all += painted(all.emplace_back(ends_of(f, named)));
  for (Weighed& w : all) {
    const double own = painted(w);
    const double as_others = own * (painted_all - own) / (double(all.size()) - 1 + kFew);
    w.paint_alone = 1 - std::clamp(2 * as_others, 0.0, 1.0);
    w.odds = log_odds(evidence_of(w.own), evidence_of(w.far), w.paint_alone);
  }
  return all;
}

bool contradicts(const Weighed& w, Sign sign) {
  return (w.own.color && *w.own.color != sign) || (w.far.color && *w.far.color == sign) ||
         contradicts_itself(w.own) || contradicts_itself(w.far);
}

double probability(const Weighed& w) {
  return 1 / (1 + std::exp(-std::abs(w.odds)));
}

// What the other signs of the side say of all of them.
struct Others {
  double sure = 0, lean = 0, count = 0;

  void add(const Weighed& w, double times) {
    if (w.odds == 0) return;
    sure += times * probability(w);
    lean += times * std::clamp(w.odds, -kMostLean, kMostLean);
    count += times;
  }
};

double score_of(const Weighed& w, const SignMark& mark) {
  if (contradicts(w, *mark.sign)) return 0;
  const double in_common = std::max(0.0, *mark.sign == Sign::plus ? mark.lean : -mark.lean);
  return std::clamp((std::abs(w.odds) - in_common) * std::pow(mark.others, kOthers) / kFullOdds,
                    0.0, 1.0);
}

SignMark mark_of(const Weighed& w, const Others& others, const PlaneView& view,
                 const Calibration& calibration) {
  SignMark mark;
  mark.own = evidence_of(w.own), mark.far = evidence_of(w.far);
  mark.paint_alone = w.paint_alone;
  mark.others = (others.sure + kUsual) / (others.count + 1);
  mark.lean = others.lean / (others.count + kFew);
  mark.sign = w.odds > 0 ? Sign::plus : Sign::minus;
  mark.score = score_of(w, mark);
  mark.confidence = calibration.look_up(mark.score);
  mark.from_opposite = clearness(w.far) > clearness(w.own);
  mark.centre_in_photo = view.to_photo((mark.from_opposite ? w.far : w.own).centre_mm);
  return mark;
}

}  // namespace

std::vector<SignMark> resolve_signs(const std::vector<SignsFound>& found,
                                    const std::optional<End>& named, const PlaneView& view,
                                    const Calibration& calibration) {
  const std::vector<Weighed> weighed = weigh(found, named);
  Others all;
  for (const Weighed& w : weighed) all.add(w, 1);
  std::vector<SignMark> marks(found.size());
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (weighed[i].odds == 0) continue;
    Others others = all;
    others.add(weighed[i], -1);
    marks[i] = mark_of(weighed[i], others, view, calibration);
  }
  return marks;
}

}  // namespace plumbstack
