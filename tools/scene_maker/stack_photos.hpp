// The photos of one stack, one a side, as a folder that can be checked.
#pragma once

#include <cstdint>
#include <filesystem>

#include "lettering.hpp"
#include "stack_plan.hpp"

namespace scene {

struct StackOrder {
  StackAsk ask;
  std::uint64_t seed = 1;  // the same seed gives the same bytes
  int long_side_px = 2000;
  int jpeg_quality = 85;
  bool with_cover = false;  // SIDE.cover.pgm too: what lies over the side
};

/// Draws every side that the pack definition lists: pack.json, SIDE.jpg and SIDE.truth.json in
/// `folder`, whose name is the stack's. A photo that hides a mark without having been asked to is
/// taken again, as a person would, from elsewhere; after some tries the best is kept.
/// Errors: those of load_pack and plan_stack, output_unwritable.
plumbstack::Result<void> write_stack(const std::filesystem::path& pack_file,
                                     const StackOrder& order, const LetteringShop& shop,
                                     const std::filesystem::path& folder);

}  // namespace scene
