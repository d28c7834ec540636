// The repair plan in words, as far as it concerns the slots of one finding.
#include <algorithm>
#include <set>

#include "rules.hpp"

namespace plumbstack {
namespace {

const RepairPlan::Slot& at(const RepairPlan& plan, int slot) {
  return plan.slots[static_cast<std::size_t>(slot - 1)];
}

// All slots whose modules changed places with this one, itself included.
std::vector<int> ring_of(const RepairPlan& plan, int slot) {
  std::vector<int> ring{slot};
  for (int next = at(plan, slot).home; next != slot; next = at(plan, next).home)
    ring.push_back(next);
  std::sort(ring.begin(), ring.end());
  return ring;
}

std::string swap_text(const RepairPlan& plan, const std::vector<int>& pair) {
  const auto one = at(plan, pair[0]).turn, two = at(plan, pair[1]).turn;
  const std::string text = "swap " + modules_text(pair);
  if ((!one || !two) && (pair[1] - pair[0]) % 2 != 0)
    return text +
           ", the same way round if their vents and signs stand wrong now; if those stand "
           "right, compare the serials first and renumber, or turn each on the way (an odd "
           "number of slots needs a turn)";
  if (!one || !two) return text + ", with vents and signs as those slots need them";
  if (*one && *two) return text + ", each turned end for end";
  if (!*one && !*two) return text + ", the same way round";
  return text + ", the one from " + slots_text({*one ? pair[0] : pair[1]}) + " turned end for end";
}

std::string renumber_text(const std::vector<int>& ring, bool all_even) {
  const std::string compare = "compare the serials of " + slots_text(ring) + " with the plan";
  if (!all_even)
    return compare +
           " and renumber: all marks stand the right way round, so moving alone did not cause this";
  return compare +
         "; renumber those whose number is wrong, and where a module itself is in the "
         "wrong slot move it to its own, the same way round";
}

std::vector<std::string> ring_texts(const RepairPlan& plan, const std::vector<int>& ring) {
  if (at(plan, ring[0]).renumber)
    return {renumber_text(ring, std::all_of(ring.begin(), ring.end(), [&](int slot) {
                            return (at(plan, slot).home - slot) % 2 == 0;
                          }))};
  if (ring.size() == 2) return {swap_text(plan, ring)};
  std::vector<std::string> texts;
  for (const RepairStep& step : plan.steps)
    if (std::find(ring.begin(), ring.end(), step.from_slot) != ring.end())
      texts.push_back(step.text);
  return texts;
}

std::string joined(const std::vector<std::string>& texts) {
  constexpr std::size_t kMost = 5;  // the whole list of moves stands in the report
  std::string text;
  for (std::size_t i = 0; i < texts.size() && i < kMost; ++i) text += (i ? "; " : "") + texts[i];
  if (texts.size() > kMost)
    text += "; and " + std::to_string(texts.size() - kMost) + " more, see the list of moves";
  return text;
}

}  // namespace

std::string advice(const RepairPlan& plan, const std::vector<int>& slots,
                   const std::string& otherwise) {
  std::vector<std::string> texts;
  std::vector<int> to_turn, by_hand, rest;
  std::set<int> told;
  for (int slot : slots) {
    if (plan.slots.empty()) {
      rest.push_back(slot);
    } else if (at(plan, slot).contradictory) {
      by_hand.push_back(slot);
    } else if (at(plan, slot).home == slot) {
      (at(plan, slot).turn.value_or(false) ? to_turn : rest).push_back(slot);
    } else if (at(plan, slot).home == 0) {
      rest.push_back(slot);
    } else if (!told.count(slot)) {
      const std::vector<int> ring = ring_of(plan, slot);
      told.insert(ring.begin(), ring.end());
      for (std::string& text : ring_texts(plan, ring)) texts.push_back(std::move(text));
    }
  }
  if (!to_turn.empty()) texts.push_back("turn " + modules_text(to_turn) + " end for end");
  if (!by_hand.empty())
    texts.push_back("look at " + modules_text(by_hand) +
                    " by hand: vents and signs contradict each other");
  if (!rest.empty()) texts.push_back(otherwise + " " + slots_text(rest));
  return joined(texts);
}

}  // namespace plumbstack
