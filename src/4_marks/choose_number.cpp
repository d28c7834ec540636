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

// The way round in which a writing is to be read: the one that reads better, as the planes have it
// and as a number can stand at this place counting in its favour. What reads both ways (6 and 9, 16
// and 91) is settled by these two, anything else by the reading.
Choice settle(const Writing& w, const NumberRule& rule, double left, double strip) {
  constexpr double kAsPlanes = 1.5, kAtItsPlace = 4;
  const double from_left = w.centre_mm.x - left;
  Choice best;
  double best_worth = -1;
  for (const bool turned : {false, true}) {
    const Reading& reading = turned ? w.turned : w.upright;
    const int rotation = (w.rotation_deg + (turned ? 180 : 0)) % 360;
    const int fit = place_fit(rule, from_left, strip, rotation);
    const double worth = (reading.text.empty() ? 0 : reading.score) * (turned ? 1 : kAsPlanes) *
                         (fit ? kAtItsPlace : 1);
    if (worth <= best_worth) continue;
    best_worth = worth;
    best = {&w, rotation, reading, fit != 0, fit == 2 ? strip - from_left : from_left};
  }
  return best;
}

std::size_t digits_of(int number) {
  return std::to_string(number).size();
}

// Where along the strip the numbers of this stack stand, by the median of those that fit.
std::optional<double> column_of(const std::vector<std::vector<Choice>>& strips) {
  std::vector<double> along;
  for (const auto& choices : strips)
    for (const Choice& c : choices)
      if (c.fits && !c.reading.text.empty()) along.push_back(c.along);
  if (along.size() < 3) return std::nullopt;
  std::nth_element(along.begin(), along.begin() + static_cast<std::ptrdiff_t>(along.size() / 2),
                   along.end());
  return along[along.size() / 2];
}

double rank(const Choice& c, const std::optional<double>& column, double strip,
            std::size_t most_digits) {
  double points = c.reading.text.empty() ? -2 : c.reading.score;
  if (c.fits) points += 2;
  if (c.reading.text.size() > most_digits) points -= 3;  // capacity figures
  if (column) points -= std::min(2.0, std::abs(c.along - *column) / (kColumnShare * strip));
  return points;
}

NumberMark mark_of(const Choice& best, double runner_up, const StackFrame& frame,
                   const StripPlace& strip, const ReadingTrust& trust) {
  NumberMark mark;
  if (!best.writing || best.reading.text.empty()) return mark;
  const double length = strip.right_mm - strip.left_mm;
  mark.text = best.reading.text;
  mark.score = best.reading.score;
  mark.confidence = trust(*best.writing, best.rotation_deg, best.reading);
  if (runner_up > 0)
    mark.confidence *= 1 - 0.5 * std::min(1.0, runner_up);  // two numbers claim the place
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
  std::vector<std::vector<Choice>> strips;
  for (std::size_t i = 0; i < writings.size(); ++i) {
    std::vector<Choice>& choices = strips.emplace_back();
    for (const Writing& w : writings[i])
      choices.push_back(settle(w, rule, frame.strips[i].left_mm, strip_mm));
  }
  const std::optional<double> column = column_of(strips);
  std::vector<NumberMark> marks;
  for (std::size_t i = 0; i < strips.size(); ++i) {
    auto& choices = strips[i];
    std::sort(choices.begin(), choices.end(), [&](const Choice& a, const Choice& b) {
      return rank(a, column, strip_mm, most_digits) > rank(b, column, strip_mm, most_digits);
    });
    NumberMark mark;
    // Writing that is neither at a named place nor in the column of the others is not the number.
    const bool plausible = !choices.empty() && rank(choices[0], column, strip_mm, most_digits) >
                                                   (choices[0].fits ? 0.0 : -0.6);
    if (plausible) {
      const double second =
          choices.size() > 1 && choices[1].fits && choices[0].reading.text.size() <= most_digits
              ? rank(choices[1], column, strip_mm, most_digits) - 1.5
              : 0;
      mark = mark_of(choices[0], second, frame, frame.strips[i], trust);
    }
    marks.push_back(mark);
  }
  return marks;
}

}  // namespace plumbstack
