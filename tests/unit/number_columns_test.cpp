// The column reader against the definition: every path of columns, its repeats and nothings dropped
// (Graves et al., Connectionist temporal classification, ICML 2006).
#include <gtest/gtest.h>

#include <map>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

std::string text_of(const std::vector<std::size_t>& path) {
  std::string text;
  std::size_t last = 0;
  for (const std::size_t c : path) {
    if (c != 0 && c != last) text += static_cast<char>('0' + c - 1);
    last = c;
  }
  return text;
}

// Probability of every text, by all paths.
std::map<std::string, double> by_enumeration(const Columns& columns) {
  std::map<std::string, double> texts;
  std::vector<std::size_t> path(columns.size(), 0);
  while (true) {
    double p = 1;
    for (std::size_t t = 0; t < path.size(); ++t) p *= columns[t][path[t]];
    if (p > 0) texts[text_of(path)] += p;
    std::size_t t = 0;
    while (t < path.size() && ++path[t] == kClasses) path[t++] = 0;
    if (t == path.size()) return texts;
  }
}

Columns some_columns() {
  Columns columns(5, std::array<double, kClasses>{});
  const double mass[5][3] = {
      {0.5, 0.3, 0.2}, {0.1, 0.6, 0.3}, {0.4, 0.4, 0.2}, {0.2, 0.7, 0.1}, {0.6, 0.1, 0.3}};
  for (std::size_t t = 0; t < columns.size(); ++t) {
    columns[t][0] = mass[t][0];
    columns[t][2] = mass[t][1];  // the digit 1
    columns[t][8] = mass[t][2];  // the digit 7
  }
  return columns;
}

TEST(NumberColumns, ProbabilityIsTheSumOverAllPaths) {
  const Columns columns = some_columns();
  double sum = 0;
  for (const auto& [text, probability] : by_enumeration(columns)) {
    EXPECT_NEAR(probability_of(text, columns), probability, 1e-12) << '"' << text << '"';
    sum += probability;
  }
  EXPECT_NEAR(sum, 1, 1e-12);
  EXPECT_EQ(probability_of("3", columns), 0);
}

TEST(NumberColumns, LikelyTextDropsRepeatsAndNothings) {
  Columns columns(6, std::array<double, kClasses>{});
  const std::size_t path[] = {2, 2, 0, 2, 8, 0};
  for (std::size_t t = 0; t < 6; ++t) columns[t][path[t]] = 1;
  EXPECT_EQ(likely_text(columns), "117");
  EXPECT_NEAR(probability_of("117", columns), 1, 1e-12);
}

TEST(NumberColumns, LogitsOfACellAreTwoColumns) {
  std::vector<float> logits(22 * 24, 0.0F);
  logits[(11 + 4) * 24 + 5] = 50;  // second column of cell 5: the digit 3
  const Columns columns = columns_of(logits.data(), 1);
  ASSERT_EQ(columns.size(), 48U);
  EXPECT_NEAR(columns[11][4], 1, 1e-9);
  EXPECT_NEAR(columns[10][4], 1.0 / kClasses, 1e-9);
}

TEST(NumberPlaces, ProbabilityIsOfLengthAndEachDigit) {
  std::vector<float> logits(53, 0.0F);
  logits[2] = 50;             // two digits
  logits[5 + 1] = 50;         // 1
  logits[5 + 11 + 4] = 1.0F;  // 4, not sure
  const Places places = places_of(logits.data(), 1);
  EXPECT_EQ(likely_number(places), "14");
  EXPECT_NEAR(probability_of("14", places), std::exp(1) / (std::exp(1) + 10), 1e-6);
  EXPECT_EQ(probability_of("12345", places), 0);
}

TEST(NumberPlaces, TheNetworkTellsHowItsCropLies) {
  std::vector<float> logits(53, 0.0F);
  logits[49] = 0.5F, logits[50] = -1, logits[51] = 1, logits[52] = 100;
  const Framing framing = places_of(logits.data(), 1.6).framing;
  EXPECT_NEAR(framing.shift_px.x, 4, 1e-9);
  EXPECT_NEAR(framing.shift_px.y, -4, 1e-9);
  EXPECT_NEAR(framing.scale, std::exp(0.2), 1e-9);
  EXPECT_LT(framing.tilt_deg, 25);  // no more than training showed
}

TEST(Reframed, TheCropMovesInItsOwnDirections) {
  CropPlace place{{100, 50}, 90, 2, {96, 48}};
  const CropPlace better = reframed(place, {{8, 0}, 1.25, 5});
  EXPECT_NEAR(better.centre_mm.x, 100, 1e-9);  // its x runs down the side
  EXPECT_NEAR(better.centre_mm.y, 54, 1e-9);
  EXPECT_NEAR(better.px_per_mm, 2.5, 1e-9);
  EXPECT_NEAR(better.rotation_deg, 85, 1e-9);
}

}  // namespace
}  // namespace plumbstack
