// Writes training crops for the number reader, one file of records: 48 x 96 grey bytes, then eight
// bytes of label. See --help.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <fstream>
#include <opencv2/core/utility.hpp>

#include "crop.hpp"

namespace {

struct Settings {
  std::string fonts, assets, out;
  std::uint64_t seed = 1;
  int count = 1000, first = 0, each = 1;
  bool held_out = false;
  double real_hands = scene::LetteringShop::kRealHands;
};

int write_crops(const Settings& settings) {
  cv::setNumThreads(1);  // pictures this small lose by being shared among threads
  const scene::LetteringShop shop(settings.fonts, settings.assets + "/handwriting.bin",
                                  settings.held_out, settings.real_hands);
  std::ofstream out(settings.out, std::ios::binary);
  scene::Writer writer;
  for (int i = settings.first; i < settings.first + settings.count; ++i) {
    scene::Dice dice(settings.seed * 1000003ULL + static_cast<std::uint64_t>(i));
    const bool same_hand = i > settings.first && i % settings.each > 0;
    if (!same_hand) writer = shop.any_writer(dice);
    scene::Crop crop = scene::draw_crop(shop, writer, dice);
    crop.label.back() = same_hand;
    out.write(reinterpret_cast<const char*>(crop.pixels.data),
              static_cast<std::streamsize>(crop.pixels.total()));
    out.write(reinterpret_cast<const char*>(crop.label.data()), crop.label.size());
  }
  out.close();
  if (!out) {
    std::fprintf(stderr, "%s cannot be written\n", settings.out.c_str());
    return 74;
  }
  std::printf("%d crops in %s\n", settings.count, settings.out.c_str());
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  Settings settings;
  CLI::App app{
      "Draws crops of numbers for training: records of 48 x 96 grey bytes and eight bytes of label "
      "(length 0..4, four digits or 10, kind, 1 where even a person would hesitate, 1 where the "
      "hand "
      "is that of the record before)."};
  app.add_option("--fonts", settings.fonts, "folder made by collect_fonts")->required();
  app.add_option("--assets", settings.assets, "folder of handwriting.bin")->required();
  app.add_option("--out", settings.out, "file to write")->required();
  app.add_option("--count", settings.count, "how many crops")->check(CLI::NonNegativeNumber);
  app.add_option("--first", settings.first, "number of the first crop")
      ->check(CLI::NonNegativeNumber);
  app.add_option("--each", settings.each, "how many crops each hand writes")
      ->check(CLI::PositiveNumber);
  app.add_option("--seed", settings.seed, "the same seed draws the same crops");
  app.add_flag("--held-out", settings.held_out, "write with the digits that training never sees");
  app.add_option("--real-hands", settings.real_hands,
                 "share of handwriting in real digits, 0..0.65; more for a larger bank of them")
      ->check(CLI::Range(0.0, 0.65));
  CLI11_PARSE(app, argc, argv);
  try {
    return write_crops(settings);
  } catch (const std::exception& fault) {
    std::fprintf(stderr, "%s\n", fault.what());
    return 65;
  }
}
