// All modules are one moulding, so a strip is found by laying it on its fellows. The pattern is
// made anew each round, when the strips lie better.
#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "plumbstack/base/in_parallel.hpp"
#include "stagger.hpp"

namespace plumbstack {
namespace {

constexpr int kRounds = 4;
constexpr double kFirstReach = 2, kReach = 1;  // mm

struct Best {
  double shift = 0, score = 0;
  int at = 0;  // samples from where it was
};

// The rough shift holds with a Student's t of three degrees: it may be far out.
Best best_shift(std::vector<double> sum, int reach, double now, const RoughStrip& rough,
                double px_per_mm) {
  for (int s = -reach; s <= reach; ++s) {
    const double off = (now + s / px_per_mm - rough.shift) / rough.shift_sd;
    sum[static_cast<std::size_t>(s + reach)] -= 2 * std::log(1 + off * off / 3);
  }
  const auto at = std::max_element(sum.begin(), sum.end());
  double part = 0;
  if (at != sum.begin() && at + 1 != sum.end()) {
    const double bend = *(at - 1) - 2 * *at + *(at + 1);
    if (bend < 0) part = 0.5 * (*(at - 1) - *(at + 1)) / bend;
  }
  const int samples = static_cast<int>(at - sum.begin()) - reach;
  return {now + (samples + part) / px_per_mm, *at, samples};
}

// Strips of a class as they lie best on one of them.
struct Laid {
  std::vector<Best> best;  // one a member
  double score = 0;
};

Laid laid_on(int model, const std::vector<int>& members, const StripRows& rows,
             const AlignedStrips& aligned, const std::vector<RoughStrip>& strips,
             const Windows& windows) {
  const int reach = static_cast<int>(std::lround(kRoughReach * rows.px_per_mm));
  const auto place = [&](int k, const Scores& s, const std::vector<double>& usual) {
    const RoughStrip& rough = strips[static_cast<std::size_t>(k)];
    return best_shift(together(s, usual), reach, rough.shift, rough, rows.px_per_mm);
  };
  // What the windows usually reach shows only where the strips lie on each other.
  const std::vector<double> any(static_cast<std::size_t>(windows.count), 0.5);
  std::vector<Scores> scores;
  std::vector<std::vector<double>> reached(any.size());
  for (const int k : members) {
    scores.push_back(score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k),
                           aligned.change.ptr<float>(model), windows, rows.samples, reach));
    if (k == model) continue;
    const int at = place(k, scores.back(), any).at;
    for (std::size_t w = 0; w < any.size(); ++w)
      reached[w].push_back(static_cast<double>(scores.back().at(static_cast<int>(w), at)));
  }
  std::vector<double> usual;
  for (const std::vector<double>& r : reached) usual.push_back(std::clamp(median_of(r), 0.0, 0.99));
  Laid laid;
  for (std::size_t m = 0; m < members.size(); ++m) {
    laid.best.push_back(members[m] == model
                            ? Best{strips[static_cast<std::size_t>(model)].shift, 0, 0}
                            : place(members[m], scores[m], usual));
    laid.score += laid.best.back().score;
  }
  return laid;
}

struct Start {
  Found found;
  double score = 0;
};

// Where rough shifts are far out, a mean of the strips shows nothing clearly: the strips of a class
// are first laid on one of them, of a few that one on which they lie best.
Start lay_on_one(const std::vector<int>& classes, const StripRows& rows,
                 const std::vector<RoughStrip>& strips, const Windows& windows) {
  constexpr std::size_t kModels = 5;
  Start start;
  start.found.classes = classes;
  for (const RoughStrip& s : strips) start.found.shifts.push_back(s.shift);
  const AlignedStrips aligned = align(rows, start.found.shifts);
  for (int which = 0; which < 2; ++which) {
    std::vector<int> members;
    for (int k = 0; k < rows.strips(); ++k)
      if (classes[static_cast<std::size_t>(k)] == which) members.push_back(k);
    if (members.size() < 3) continue;
    std::vector<Laid> laid(std::min(kModels, members.size()));
    in_parallel(laid.size(), [&](std::size_t m) {
      laid[m] = laid_on(members[(2 * m + 1) * members.size() / (2 * laid.size())], members, rows,
                        aligned, strips, windows);
    });
    const Laid& best = *std::max_element(
        laid.begin(), laid.end(), [](const Laid& a, const Laid& b) { return a.score < b.score; });
    start.score += best.score;
    // The one itself may be roughly seen wrong: most of them are not.
    std::vector<double> off;
    for (std::size_t m = 0; m < members.size(); ++m)
      off.push_back(strips[static_cast<std::size_t>(members[m])].shift - best.best[m].shift);
    const double zero = median_of(off);
    for (std::size_t m = 0; m < members.size(); ++m)
      start.found.shifts[static_cast<std::size_t>(members[m])] = best.best[m].shift + zero;
  }
  return start;
}

// What lies far out looks like nothing else, and is put in any class: where strips laid on each
// other by turns lie clearly better, they stand by turns.
Found rough_start(const StripRows& rows, const std::vector<RoughStrip>& strips,
                  const Windows& windows) {
  constexpr double kClearly = 1.15;
  std::vector<double> shifts;
  std::vector<int> by_turns;
  for (std::size_t k = 0; k < strips.size(); ++k)
    shifts.push_back(strips[k].shift), by_turns.push_back(static_cast<int>(k % 2));
  const std::vector<int> by_look = first_classes(rows, shifts, windows);
  Start start = lay_on_one(by_look, rows, strips, windows);
  if (by_look == by_turns) return start.found;
  Start other = lay_on_one(by_turns, rows, strips, windows);
  return other.score > kClearly * start.score ? other.found : start.found;
}

}  // namespace

Found find_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                  const Windows& windows) {
  Found found = rough_start(rows, strips, windows);
  for (int round = 0; round < kRounds; ++round) {
    const AlignedStrips aligned = align(rows, found.shifts);
    const Patterns patterns = make_patterns(aligned, found.classes);
    const int reach =
        static_cast<int>(std::lround((round ? kReach : kFirstReach) * rows.px_per_mm));
    const auto scored = [&](int k, const float* pattern) {
      return score(aligned.change.ptr<float>(k), aligned.hidden.ptr(k), pattern, windows,
                   rows.samples, reach);
    };
    std::vector<Scores> own(static_cast<std::size_t>(rows.strips()));
    in_parallel(own.size(), [&](std::size_t k) {
      own[k] = scored(static_cast<int>(k), patterns.others.ptr<float>(static_cast<int>(k)));
    });
    const std::vector<double> of_class[2] = {usual_correlations(own, found.classes, 0),
                                             usual_correlations(own, found.classes, 1)};
    std::vector<int> classes = found.classes;
    in_parallel(own.size(), [&](std::size_t k) {
      const auto mine = static_cast<std::size_t>(found.classes[k]), other = 1 - mine;
      std::vector<double> sum = together(own[k], of_class[mine]);
      if (round > 0 && round + 1 < kRounds) {  // a module that stands the wrong way round
        const std::vector<double> turned = together(
            scored(static_cast<int>(k), patterns.of_class[other].ptr<float>()), of_class[other]);
        if (*std::max_element(turned.begin(), turned.end()) >
            1.25 * *std::max_element(sum.begin(), sum.end()) + 0.5)
          sum = turned, classes[k] = static_cast<int>(other);
      }
      found.shifts[k] = best_shift(sum, reach, found.shifts[k], strips[k], rows.px_per_mm).shift;
    });
    found.classes = classes;
  }
  return found;
}

}  // namespace plumbstack
