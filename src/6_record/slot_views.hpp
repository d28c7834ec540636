// What the picture and the report say of one slot: how it stands, in a few words.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// Worst last, so that the worse of two is the greater one.
enum class Standing { good, note, unseen, unsure, wrong };

struct SlotView {
  int slot = 0;                        // 1-based; where strips were only counted, the count
  Quad face_in_photo{};                // px
  bool has_face = false;               // false: nowhere to draw it
  Standing standing = Standing::good;  // by the findings of this side and of the whole stack
  std::vector<std::string> words;      // of the worst findings: "turned", "reads 9"; empty where
                                       // nothing is said
  std::vector<std::string> all_words;  // of all but the mere notes
  std::optional<SlotMarks> marks;      // nullopt = the strip was only counted
  bool number_in_question = false;     // a finding concerns the number itself
};

/// One view per slot; where the count does not fit the pack, one per strip as counted, without
/// marks; none where no stack was found.
std::vector<SlotView> slot_views(const Pack& pack, const Check& check, std::size_t photo_index);

/// Offsets from here on are shown: the limit less two standard deviations, as for stagger.near, but
/// never under half the limit, so that a rough measurement doesn't put a figure on every slot.
bool stagger_worth_showing(const Pack& pack, const SlotMarks& marks);

/// Words with commas between them.
std::string joined(const std::vector<std::string>& words);

/// "1.4" with one decimal and no sign of its own.
std::string mm_text(double mm);

/// First letter as a capital.
std::string sentence(std::string text);

}  // namespace plumbstack
