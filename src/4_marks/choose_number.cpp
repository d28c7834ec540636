// Which writing is the sequence number: the one at the named end and turn, or where a module that
// is turned end for end carries it, mirrored and half a turn round. The pack says where to look;
// what stands there is read without it. Seen from the other end of the stack the two places swap,
// so this works before anybody knows which end is slot 1.
#include <algorithm>
#include <cmath>

#include "number_choice.hpp"

namespace plumbstack {
namespace {

constexpr double kMiddleShare =
    0.12;  // within this share of the strip's middle a number has no end

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
  const double sum = worth[0] + worth[1], way = sum > 0 ? worth[k] / sum : 0.5;
  Reading reading = *ways.reading[k];
  reading.score *= way;
  const int fit = place_fit(rule, from_left, strip, ways.rotation[k]);
  return {&w, ways.rotation[k], reading, way, fit != 0, fit == 2 ? strip - from_left : from_left};
}

std::size_t digits_of(int number) {
  return std::to_string(number).size();
}

// How well the other strips' numbers read; nothing where there is none. With few others it is as
// usual.
double others_of(const std::vector<const Choice*>& numbers, std::size_t own) {
  constexpr double kUsual = 0.9;  // on the drawn sides that the odds were fitted to
  double sum = kUsual;
  for (std::size_t i = 0; i < numbers.size(); ++i)
    if (i != own && numbers[i]) sum += numbers[i]->reading.places;
  return sum / double(numbers.size());
}

NumberEvidence evidence_of(const Choice& choice, const std::optional<Column>& column,
                           double others) {
  const Reading& r = choice.reading;
  return {r.places,
          r.columns,
          r.nothing,
          choice.way,
          choice.writing->covered,
          column ? std::abs(choice.along - column->place) / column->spread : 0,
          others};
}

NumberMark mark_of(const Choice& best, double share, const NumberEvidence& evidence,
                   const StackFrame& frame, const StripPlace& strip, const ReadingTrust& trust) {
  NumberMark mark;
  const double length = strip.right_mm - strip.left_mm;
  mark.text = best.reading.text;
  mark.evidence = evidence;
  mark.score = number_probability(mark.evidence);
  mark.confidence =
      share * trust(*best.writing, best.rotation_deg, {mark.text.value(), mark.score});
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
  std::vector<const Choice*> numbers;
  for (const std::vector<Choice>& choices : strips) {
    const auto best =
        std::max_element(choices.begin(), choices.end(), [&](const Choice& a, const Choice& b) {
          return rank(a, column, strip_mm, most_digits) < rank(b, column, strip_mm, most_digits);
        });
    // Writing that is neither at a named place nor in the column of the others is not the number.
    const bool found = best != choices.end() && !best->reading.text.empty() &&
                       rank(*best, column, strip_mm, most_digits) > (best->fits ? 0.0 : -0.6);
    numbers.push_back(found ? &*best : nullptr);
  }
  std::vector<NumberMark> marks(numbers.size());
  for (std::size_t i = 0; i < numbers.size(); ++i)
    if (const Choice* best = numbers[i])
      marks[i] =
          mark_of(*best, share_of(*best, strips[i], column, most_digits),
                  evidence_of(*best, column, others_of(numbers, i)), frame, frame.strips[i], trust);
  return marks;
}

}  // namespace plumbstack
