// Which writing is the sequence number: the one at the named end and turn, or where a module that
// is turned end for end carries it, mirrored and half a turn round. The pack says where to look;
// what stands there is read without it. Seen from the other end of the stack the two places swap,
// so this works before anybody knows which end is slot 1.
#include <algorithm>
#include <cmath>

#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr double kMiddleShare =
    0.12;  // within this share of the strip's middle a number has no end
constexpr double kColumnShare = 0.10;  // of the strip: numbers of a stack stand about in one column

struct Choice {
  const Writing* writing = nullptr;
  int rotation_deg = 0;
  Reading reading;
  bool fits = false;  // at a named place
  double along = 0;   // x from the left end, as if at the place of an unturned module
};

std::optional<End> end_of(double from_left, double strip) {
  if (std::abs(from_left - strip / 2) <= kMiddleShare * strip) return std::nullopt;
  return from_left < strip / 2 ? End::left : End::right;
}

// 0 = no fit, 1 = as the pack names it, 2 = as on a turned module.
int place_fit(const NumberRule& rule, double from_left, double strip, int rotation) {
  const std::optional<End> end = end_of(from_left, strip);
  const bool either_end = !rule.end || !end;
  if (rotation == rule.rotation_deg && (either_end || *end == *rule.end)) return 1;
  if (rotation == (rule.rotation_deg + 180) % 360 && (either_end || *end == other(*rule.end)))
    return 2;
  return 0;
}

// A turn as it would be on a module that isn't turned end for end: what stands at the right end and
// upside down counts as standing at the left end, upright. In the middle either may be meant.
int turn_at_left(End end, int rotation) {
  return (rotation + (end == End::right ? 180 : 0)) % 360;
}

// How often the clear numbers of this stack stand in each turn, by the stack's own writing,
// whatever the pack names.
struct Votes {
  double at_an_end[4] = {0, 0, 0, 0};
  double in_the_middle[4] = {0, 0, 0, 0};

  double& of(const std::optional<End>& end, int rotation) {
    return end ? at_an_end[turn_at_left(*end, rotation) / 90] : in_the_middle[rotation / 90];
  }
};

// Two ways round: the number as it is marked at this rotation, and half a turn from it.
struct BothWays {
  int rotation[2] = {0, 180};
  const Reading* reading[2] = {nullptr, nullptr};
};

BothWays both_ways(const Writing& w) {
  return {{w.rotation_deg % 360, (w.rotation_deg + 180) % 360}, {&w.upright, &w.turned}};
}

Votes votes_of(const StackFrame& frame, const std::vector<std::vector<Writing>>& writings,
               double strip, std::size_t most_digits) {
  constexpr double kClear = 0.8, kDoubtful = 0.1;  // scores
  Votes votes;
  for (std::size_t i = 0; i < writings.size(); ++i)
    for (const Writing& w : writings[i]) {
      const BothWays ways = both_ways(w);
      for (const int k : {0, 1}) {
        const Reading &one = *ways.reading[k], &other = *ways.reading[1 - k];
        if (one.text.empty() || one.text.size() > most_digits || one.score < kClear) continue;
        if (!other.text.empty() && other.score > kDoubtful) continue;
        ++votes.of(end_of(w.centre_mm.x - frame.strips[i].left_mm, strip), ways.rotation[k]);
      }
    }
  return votes;
}

// The way round in which a writing is to be read. What reads both ways (6 and 9, 16 and 91) is
// settled by how the clear numbers of this stack stand. Someone who writes a stack's numbers seldom
// holds one module upside down (common practice, no source); in the middle of a strip a module that
// is turned end for end looks just so, and what reads both ways stays in doubt.
Choice settle(const Writing& w, const NumberRule& rule, Votes& votes, double left, double strip) {
  constexpr double kAsPlanes = 1.5, kMiswritten = 0.003, kTurned = 0.05, kBelief = 100;  // votes
  const double from_left = w.centre_mm.x - left;
  const std::optional<End> end = end_of(from_left, strip);
  const BothWays ways = both_ways(w);
  double worth[2], voted[2];
  for (const int k : {0, 1}) voted[k] = votes.of(end, ways.rotation[k]);
  for (const int k : {0, 1}) {
    const Reading& reading = *ways.reading[k];
    const double rare = end ? kMiswritten : kTurned, all = voted[0] + voted[1];
    const double prior =
        all == 0
            ? 0.5
            : (voted[k] + kBelief * (voted[k] >= voted[1 - k] ? 1 - rare : rare)) / (all + kBelief);
    worth[k] = (reading.text.empty() ? 0 : reading.score) * prior * (k == 0 ? kAsPlanes : 1);
  }
  const int k = worth[1] > worth[0] ? 1 : 0;
  const double sum = worth[0] + worth[1];
  Reading reading = *ways.reading[k];
  if (sum > 0) reading.score *= worth[k] / sum;
  const int fit = place_fit(rule, from_left, strip, ways.rotation[k]);
  return {&w, ways.rotation[k], reading, fit != 0, fit == 2 ? strip - from_left : from_left};
}

std::size_t digits_of(int number) {
  return std::to_string(number).size();
}

// Where along the strip the numbers of this stack stand, and how widely they are strewn about it.
struct Column {
  double place = 0, spread = 0;  // mm
};

// The value that the share of all lies under.
double quantile(std::vector<double> values, double share) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * double(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Where what fits and reads well is densest. A row of slots on every module reads as something too,
// but never well.
std::optional<Column> column_of(const std::vector<std::vector<Choice>>& strips, double strip_mm,
                                std::size_t most_digits) {
  constexpr double kReadable = 0.5;   // score
  constexpr double kNarrowest = 3;    // mm; the middles of 9 and 10 in line lie about so far apart
  constexpr double kWithin = 1.2816;  // standard deviations within which four fifths lie
  const double reach = kColumnShare * strip_mm;
  const auto counts = [&](const Choice& c) {
    return c.fits && !c.reading.text.empty() && c.reading.text.size() <= most_digits;
  };
  std::vector<std::pair<double, double>> along;  // place and score
  for (const auto& choices : strips)
    for (const Choice& c : choices)
      if (counts(c)) along.emplace_back(c.along, c.reading.score);
  if (along.size() < 3) return std::nullopt;
  double densest = 0, most = -1;
  for (const auto& candidate : along) {
    double support = 0, sum = 0;
    for (const auto& [place, score] : along) {
      const double weight = score * std::max(0.0, 1 - std::abs(place - candidate.first) / reach);
      support += weight, sum += weight * place;
    }
    if (support > most) most = support, densest = sum / support;
  }
  std::vector<double> near;  // of each strip the best
  for (const auto& choices : strips) {
    const Choice* best = nullptr;
    for (const Choice& c : choices)
      if (counts(c) && std::abs(c.along - densest) < reach && c.reading.score > kReadable &&
          (!best || c.reading.score > best->reading.score))
        best = &c;
    if (best) near.push_back(best->along);
  }
  if (near.size() < 3) return Column{densest, reach / 2};
  const double place = quantile(near, 0.5);
  for (double& x : near) x = std::abs(x - place);
  return Column{place, std::max(kNarrowest, quantile(near, 0.8) / kWithin)};
}

double rank(const Choice& c, const std::optional<Column>& column, double strip,
            std::size_t most_digits) {
  double points = c.reading.text.empty() ? -2 : c.reading.score;
  if (c.fits) points += 2;
  if (c.reading.text.size() > most_digits) points -= 3;  // capacity figures
  if (column) points -= std::min(2.0, std::abs(c.along - column->place) / (kColumnShare * strip));
  return points;
}

// Whether two pieces of writing lie over each other.
bool overlap(const Writing& a, const Writing& b) {
  const auto box = [](const Writing& w) {
    const cv::Size2d size = w.rotation_deg % 180 == 0 ? cv::Size2d(w.length_mm, w.height_mm)
                                                      : cv::Size2d(w.height_mm, w.length_mm);
    return cv::Rect2d(w.centre_mm - cv::Point2d(size) / 2, size);
  };
  return !(box(a) & box(b)).empty();
}

double odds_of(double probability) {
  return probability / std::max(1e-6, 1 - probability);
}

// Probability that of all that may be the strip's number it is this one. What reads like a number
// elsewhere is seldom another one, and then the one that stands better in the column is meant. One
// piece of writing may be found twice; where it reads differently then, only one of both is right.
double share_of(const Choice& best, const std::vector<Choice>& choices,
                const std::optional<Column>& column, std::size_t most_digits) {
  constexpr double kStray = 0.01;   // numbers that stand anywhere
  constexpr double kSecond = 0.02;  // strips that carry a second number, common practice, no source
  const auto in_column = [&](const Choice& c) {
    const double off = column ? (c.along - column->place) / column->spread : 0;
    return std::exp(-off * off / 2) + kStray;
  };
  double share = 1;
  for (const Choice& c : choices) {
    const std::string& text = c.reading.text;
    if (&c == &best || !c.fits || text.empty() || text.size() > most_digits) continue;
    if (overlap(*best.writing, *c.writing)) {
      if (text == best.reading.text && c.rotation_deg == best.rotation_deg) continue;
      const double mine = odds_of(best.reading.score);
      share *= mine / (mine + odds_of(c.reading.score));
    } else {
      const double second = kSecond * odds_of(c.reading.score);
      share *= 1 - second / (1 + second) * in_column(c) / (in_column(c) + in_column(best));
    }
  }
  return share;
}

NumberMark mark_of(const Choice& best, double share, const StackFrame& frame,
                   const StripPlace& strip, const ReadingTrust& trust) {
  NumberMark mark;
  if (!best.writing || best.reading.text.empty()) return mark;
  const double length = strip.right_mm - strip.left_mm;
  mark.text = best.reading.text;
  mark.score = best.reading.score;
  mark.confidence = share * trust(*best.writing, best.rotation_deg, best.reading);
  mark.rotation_deg = best.rotation_deg;
  mark.end = end_of(best.writing->centre_mm.x - strip.left_mm, length);
  mark.quad_in_photo = text_quad(frame.view, *best.writing, best.rotation_deg);
  return mark;
}

}  // namespace

std::vector<NumberMark> choose_numbers(const Pack& pack, const Side& side, const StackFrame& frame,
                                       const std::vector<std::vector<Writing>>& writings,
                                       const ReadingTrust& trust) {
  const NumberRule& rule = *side.number;
  const double strip_mm = side.strip_mm;
  const std::size_t most_digits =
      std::max<std::size_t>(2, digits_of(rule.first + pack.modules - 1));
  Votes votes = votes_of(frame, writings, strip_mm, most_digits);
  std::vector<std::vector<Choice>> strips;
  for (std::size_t i = 0; i < writings.size(); ++i) {
    std::vector<Choice>& choices = strips.emplace_back();
    for (const Writing& w : writings[i])
      choices.push_back(settle(w, rule, votes, frame.strips[i].left_mm, strip_mm));
  }
  const std::optional<Column> column = column_of(strips, strip_mm, most_digits);
  std::vector<NumberMark> marks;
  for (std::size_t i = 0; i < strips.size(); ++i) {
    const std::vector<Choice>& choices = strips[i];
    const auto best =
        std::max_element(choices.begin(), choices.end(), [&](const Choice& a, const Choice& b) {
          return rank(a, column, strip_mm, most_digits) < rank(b, column, strip_mm, most_digits);
        });
    NumberMark mark;
    // Writing that is neither at a named place nor in the column of the others is not the number.
    if (best != choices.end() &&
        rank(*best, column, strip_mm, most_digits) > (best->fits ? 0.0 : -0.6))
      mark = mark_of(*best, share_of(*best, choices, column, most_digits), frame, frame.strips[i],
                     trust);
    marks.push_back(mark);
  }
  return marks;
}

}  // namespace plumbstack
