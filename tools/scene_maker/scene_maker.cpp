// Draws photo-like stacks with exact truth. See --help.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <opencv2/imgproc.hpp>

#include "lettering.hpp"
#include "scene.hpp"
#include "write_jpeg.hpp"

namespace {

struct Settings {
  std::string out = ".", prefix = "scene", fonts, assets;
  std::uint64_t seed = 1;
  int count = 1, long_side = 0;
  int first = 0;
  bool held_out = false;
  double empty_share = 0;
  scene::Ask ask;
};

scene::SceneTexts choose_texts(scene::Dice& dice, const scene::LetteringShop& shop) {
  const auto by = [&](const scene::Writer& writer) {
    return [&shop, &dice, writer](const std::string& text, double height_px) {
      return shop.draw(text, height_px, writer, dice);
    };
  };
  const scene::Writer first = shop.any_writer(dice);
  const scene::Writer second = dice.chance(0.4)   ? first
                               : dice.chance(0.5) ? shop.any_writer(dice)
                                                  : shop.printed(dice);
  return {by(first), by(second)};
}

bool write_scene(const Settings& settings, const scene::LetteringShop& shop, int index) {
  scene::Dice dice(settings.seed * 1000003ULL + static_cast<std::uint64_t>(index));
  const int long_side = settings.long_side > 0
                            ? settings.long_side
                            : dice.pick({1400, 1600, 1600, 2000, 2000, 2000, 2400, 3000});
  scene::Scene made;
  if (dice.chance(settings.empty_share)) {
    made = scene::draw_empty_scene(dice, long_side);
  } else {
    const scene::SidePlan plan = scene::plan_side(dice, settings.ask);
    made = scene::draw_scene(dice, plan, choose_texts(dice, shop), long_side);
  }
  char number[16];
  std::snprintf(number, sizeof number, "_%06d", index);
  const std::string stem = settings.out + "/" + settings.prefix + number;
  made.truth["file"] = settings.prefix + number + ".jpg";
  made.truth["stack_id"] = settings.prefix + number;
  std::ofstream(stem + ".truth.json") << made.truth.dump() << "\n";
  return scene::write_pgm(stem + ".cover.pgm", made.cover) &&
         scene::write_jpeg(stem + ".jpg", made.photo, dice.whole(68, 95));
}

}  // namespace

int main(int argc, char** argv) {
  Settings settings;
  CLI::App app{"Draws photo-like stacks of modules with exact truth."};
  app.add_option("--out", settings.out, "folder for the pictures")->required();
  app.add_option("--count", settings.count, "how many pictures");
  app.add_option("--seed", settings.seed, "the same seed draws the same pictures");
  app.add_option("--prefix", settings.prefix, "start of the file names");
  app.add_option("--long-side", settings.long_side, "longer edge in px; 0 varies");
  app.add_option("--fonts", settings.fonts, "folder of fonts");
  app.add_option("--assets", settings.assets, "folder of handwriting");
  app.add_option("--first", settings.first, "number of the first picture");
  app.add_flag("--held-out", settings.held_out, "write with the digits that training never sees");
  app.add_option("--side", settings.ask.side, "number, vent, top or terminal");
  app.add_option("--fault", settings.ask.fault, "a fault by name, none or any");
  app.add_option("--capture", settings.ask.capture_fault,
                 "blur, glare, crop, dark, occlusion, none or any");
  app.add_option("--stagger", settings.ask.stagger_mm, "size of a stagger fault, mm");
  app.add_option("--modules", settings.ask.modules, "modules in the stack");
  app.add_option("--empty-share", settings.empty_share, "share of pictures without a stack, 0..1");
  app.add_flag("--training", settings.ask.training, "numbers, turns and places at random");
  CLI11_PARSE(app, argc, argv);
  std::filesystem::create_directories(settings.out);
  const scene::LetteringShop shop(settings.fonts, settings.assets + "/handwriting.bin",
                                  settings.held_out);
  for (int i = settings.first; i < settings.first + settings.count; ++i)
    if (!write_scene(settings, shop, i)) return 74;
  return 0;
}
