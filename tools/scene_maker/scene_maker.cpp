// Draws photo-like stacks with exact truth. See --help.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "hands.hpp"
#include "scene.hpp"
#include "stack_photos.hpp"
#include "write_jpeg.hpp"

namespace {

struct Settings {
  std::string out = ".", prefix = "scene", fonts, assets;
  std::uint64_t seed = 1;
  int count = 1, long_side = 0;
  int first = 0;
  bool held_out = false;
  double real_hands = scene::LetteringShop::kRealHands;
  double empty_share = 0;
  std::string stack_pack;  // a pack definition: draw every side of one stack
  int quality = 0;         // of the JPEG; 0 varies
  bool cover = false;
  scene::Ask ask;
};

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
    const scene::Hands hands = scene::choose_hands(dice, shop);
    made = scene::draw_scene(dice, plan, scene::texts_by(hands, shop, dice), long_side);
  }
  char number[16];
  std::snprintf(number, sizeof number, "_%06d", index);
  const std::string stem = settings.out + "/" + settings.prefix + number;
  made.truth["file"] = settings.prefix + number + ".jpg";
  made.truth["stack_id"] = settings.prefix + number;
  std::ofstream(stem + ".truth.json") << made.truth.dump() << "\n";
  const int quality = settings.quality > 0 ? settings.quality : dice.whole(68, 95);
  return scene::write_pgm(stem + ".cover.pgm", made.cover) &&
         scene::write_jpeg(stem + ".jpg", made.photo, quality);
}

// SIDE=FAULT
void split_capture(const std::string& text, scene::StackAsk& ask) {
  const std::size_t equals = text.find('=');
  if (text.empty() || text == "none") return;
  ask.spoilt_side = text.substr(0, equals);
  ask.capture_fault = equals == std::string::npos ? "" : text.substr(equals + 1);
}

int write_all_sides(const Settings& settings, const scene::LetteringShop& shop) {
  scene::StackOrder order;
  order.seed = settings.seed;
  if (settings.long_side > 0) order.long_side_px = settings.long_side;
  if (settings.quality > 0) order.jpeg_quality = settings.quality;
  order.with_cover = settings.cover;
  order.ask.stagger_mm = settings.ask.stagger_mm;
  split_capture(settings.ask.capture_fault, order.ask);
  std::istringstream faults(settings.ask.fault);
  for (std::string fault; std::getline(faults, fault, ',');)
    if (fault != "none") order.ask.faults.push_back(fault);
  const auto written = scene::write_stack(settings.stack_pack, order, shop, settings.out);
  if (written) return 0;
  const plumbstack::Error& error = written.error();
  std::fprintf(stderr, "scene_maker: %s%s%s\n", error.where.c_str(),
               error.where.empty() ? "" : ": ", error.message.c_str());
  return static_cast<int>(plumbstack::exit_code_of(error.code));
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
  app.add_option("--real-hands", settings.real_hands,
                 "share of handwriting in real digits, 0..0.65; more for a larger bank of them")
      ->check(CLI::Range(0.0, 0.65));
  app.add_option("--side", settings.ask.side, "number, vent, top or terminal");
  app.add_option("--fault", settings.ask.fault, "a fault by name, none or any");
  app.add_option("--capture", settings.ask.capture_fault,
                 "blur, glare, crop, dark, occlusion, none or any");
  app.add_option("--stagger", settings.ask.stagger_mm, "size of a stagger fault, mm");
  app.add_option("--modules", settings.ask.modules, "modules in the stack");
  app.add_option("--empty-share", settings.empty_share, "share of pictures without a stack, 0..1");
  app.add_flag("--training", settings.ask.training, "numbers, turns and places at random");
  app.add_option("--stack", settings.stack_pack,
                 "a pack definition: draw all its sides, of one stack, into the folder; --fault "
                 "takes several, with commas; --capture takes SIDE=FAULT");
  app.add_option("--quality", settings.quality, "of the JPEG, 1..100; 0 varies (85 for a stack)");
  app.add_flag("--cover", settings.cover, "with --stack: SIDE.cover.pgm too");
  CLI11_PARSE(app, argc, argv);
  std::filesystem::create_directories(settings.out);
  const scene::LetteringShop shop(settings.fonts, settings.assets + "/handwriting.bin",
                                  settings.held_out, settings.real_hands);
  if (!settings.stack_pack.empty()) return write_all_sides(settings, shop);
  for (int i = settings.first; i < settings.first + settings.count; ++i)
    if (!write_scene(settings, shop, i)) return 74;
  return 0;
}
