// Besides the way round, a number's reading is wrong for one of two reasons: the networks misread
// what they see, or something hides a digit from both. Each has a logistic regression of its own
// (weights fitted by tools/calibrate on drawn scenes not used in training).
#include <algorithm>
#include <cmath>

#include "number_choice.hpp"

namespace plumbstack {
namespace {

constexpr double kLeast = 1e-4, kLeastCover = 1e-3;  // what a network says below that is all one
// However sure the networks are that they see a number: a part of it may be hidden.
constexpr double kLeastForAll = 0.03;
constexpr double kLeastOfOthers = 0.02;
constexpr double kFarOff = 6;

double log_odds(double probability, double least) {
  const double p = std::clamp(probability, least, 1 - least);
  return std::log(p / (1 - p));
}

double logistic(double x) {
  return 1 / (1 + std::exp(-x));
}

}  // namespace

double number_probability(const NumberEvidence& e) {
  // What the text leaves open is less against it when it goes to nothing than to another number;
  // but who doubts that there is one may see a part of it.
  const double nothing = log_odds(e.nothing, kLeast);
  const double read =
      logistic(3.556 + 0.917 * log_odds(e.places, kLeast) + 0.345 * log_odds(e.columns, kLeast) +
               0.560 * nothing - 0.580 * std::min(e.off_column, kFarOff));
  // Where the other strips show none, theirs are hidden, and this may be an older number.
  const double hidden = logistic(-2.280 + 0.014 * log_odds(e.covered, kLeastCover) +
                                 0.652 * log_odds(e.nothing, kLeastForAll) -
                                 1.051 * log_odds(e.others, kLeastOfOthers));
  return e.way * read * (1 - hidden);
}

}  // namespace plumbstack
