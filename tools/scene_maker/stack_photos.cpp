#include "stack_photos.hpp"

#include <fstream>

#include "hands.hpp"
#include "scene.hpp"
#include "write_jpeg.hpp"

namespace scene {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kTries = 10;

// 0: shows what it should; 1: with marks that are hard to read; 2: a mark is hidden that should
// not be, or none where the photo is meant to be of no use.
int doubt(const SidePlan& plan, const Json& truth) {
  const bool spoilt = plan.capture_fault != "none";
  if ((truth["expect"] == "retake") != spoilt) return 2;
  if (spoilt) return 0;
  for (const Json& slot : truth["slots"]) {
    if (plan.has_number && !slot["number"].is_null() && slot["number"]["hard"]) return 1;
    if (slot.contains("sign") && slot["sign"]["hard"] && !slot.contains("vent")) return 1;
  }
  return 0;
}

Scene photograph(const SidePlan& plan, const Look& look, const Hands& hands,
                 const LetteringShop& shop, std::uint64_t seed, int long_side_px) {
  Scene best;
  int least = 3;
  for (int i = 0; i < kTries && least > 0; ++i) {
    Dice dice(seed + static_cast<std::uint64_t>(i));
    Scene taken = draw_shop_photo(dice, plan, texts_by(hands, shop, dice), long_side_px, look);
    const int doubtful = doubt(plan, taken.truth);
    if (doubtful < least) best = std::move(taken), least = doubtful;
  }
  return best;
}

// The definition as it is, with the one side that the photo shows.
Json pack_with_side(const Json& pack, const std::string& side) {
  Json one = pack;
  one["sides"] = {{side, pack["sides"][side]}};
  one.erase("required_sides");
  return one;
}

bool write_photo(const std::filesystem::path& folder, const std::string& name,
                 const StackOrder& order, const Scene& scene) {
  const std::string stem = (folder / name).string();
  std::ofstream truth(stem + ".truth.json");
  truth << scene.truth.dump() << "\n";
  return truth.good() && write_jpeg(stem + ".jpg", scene.photo, order.jpeg_quality) &&
         (!order.with_cover || write_pgm(stem + ".cover.pgm", scene.cover));
}

}  // namespace

plumbstack::Result<void> write_stack(const std::filesystem::path& pack_file,
                                     const StackOrder& order, const LetteringShop& shop,
                                     const std::filesystem::path& folder) {
  using plumbstack::ErrorCode;
  using plumbstack::fail;
  const plumbstack::Result<plumbstack::Pack> pack = plumbstack::load_pack(pack_file);
  if (!pack) return tl::unexpected(pack.error());
  Dice dice(order.seed * 1000003ULL);
  const plumbstack::Result<std::vector<SidePlan>> plans = plan_stack(dice, *pack, order.ask);
  if (!plans) return tl::unexpected(plans.error());
  Look look = choose_look(dice, plans->front());
  look.seed = static_cast<std::uint64_t>(dice.whole(1, 1 << 30));
  look.plain_pads = true;
  const Hands hands = choose_hands(dice, shop);
  std::error_code failed;
  std::filesystem::create_directories(folder, failed);
  std::filesystem::copy_file(pack_file, folder / "pack.json",
                             std::filesystem::copy_options::overwrite_existing, failed);
  if (failed) return fail(ErrorCode::output_unwritable, failed.message(), folder.string());
  const Json definition = Json::parse(std::ifstream(pack_file));
  for (const SidePlan& plan : *plans) {
    const auto seed = static_cast<std::uint64_t>(dice.whole(1, 1 << 30)) * kTries;
    Scene scene = photograph(plan, look, hands, shop, seed, order.long_side_px);
    scene.truth["pack"] = pack_with_side(definition, plan.name);
    scene.truth["file"] = plan.name + ".jpg";
    scene.truth["stack_id"] = folder.filename().string();
    if (!write_photo(folder, plan.name, order, scene))
      return fail(ErrorCode::output_unwritable, "can't be written", (folder / plan.name).string());
  }
  return {};
}

}  // namespace scene
