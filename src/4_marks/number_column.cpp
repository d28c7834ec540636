#include <algorithm>
#include <cmath>

#include "number_choice.hpp"

namespace plumbstack {
namespace {

constexpr double kColumnShare = 0.10;  // of the strip: numbers of a stack stand about in one column

// The value that the share of all lies under.
double quantile(std::vector<double> values, double share) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * double(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
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

}  // namespace

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

double rank(const Choice& c, const std::optional<Column>& column, double strip_mm,
            std::size_t most_digits) {
  double points = c.reading.text.empty() ? -2 : c.reading.score;
  if (c.fits) points += 2;
  if (c.reading.text.size() > most_digits) points -= 3;  // capacity figures
  if (column)
    points -= std::min(2.0, std::abs(c.along - column->place) / (kColumnShare * strip_mm));
  return points;
}

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

}  // namespace plumbstack
