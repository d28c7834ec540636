// The plan with the fewest modules out of the frame. A module may stay if it need not be turned and
// the ones that stay already follow each other in the order of their slots (they slide along when
// others are taken out). So the most that can stay are a longest increasing subsequence of the
// slots that the unturned modules belong in; every other module is lifted once.
#include <algorithm>
#include <cstdlib>

#include "rules.hpp"

namespace plumbstack {
namespace {

using PlanSlot = RepairPlan::Slot;

struct Tells {  // of one slot, from all sides
  bool says_wrong = false, says_right = false;
  std::optional<bool> turned;   // by the numbers
  bool turn_of_number = false;  // every trusted number has the end and turn that the pack names
};

Tells tells_of(const std::vector<SideCase>& cases, int slot) {
  Tells tells;
  bool numbers_agree = true;
  tells.turn_of_number = true;
  for (const SideCase& c : cases) {
    for (const auto& wrong : {wrong_by_vent(c, slot), wrong_by_sign(c, slot)})
      if (wrong) (*wrong ? tells.says_wrong : tells.says_right) = true;
    if (!c.side.number || !trusted_number(c, slot)) continue;
    const auto turned = turned_by_number(c, slot);
    if (turned && tells.turned && *turned != *tells.turned) numbers_agree = false;
    if (turned) tells.turned = turned;
    if (!turned || *turned) tells.turn_of_number = false;
  }
  if (!numbers_agree) tells.turned.reset();
  return tells;
}

// Where a slot's module belongs by every number side that reads it; 0 = unread or contradictory.
int home_of(const std::vector<SideCase>& cases, int slot) {
  int home = 0;
  for (const SideCase& c : cases)
    if (const auto one = home_slot(c, slot)) {
      if (*one < 1 || *one > c.pack.modules || (home != 0 && home != *one)) return 0;
      home = *one;
    }
  return home;
}

bool every_number_is_known_once(const std::vector<PlanSlot>& slots) {
  std::vector<bool> taken(slots.size() + 1, false);
  for (const PlanSlot& s : slots) {
    if (s.home == 0 || taken[static_cast<std::size_t>(s.home)]) return false;
    taken[static_cast<std::size_t>(s.home)] = true;
  }
  return true;
}

// Modules that changed places among themselves: if each still stands right by vent or sign and by
// its number, the numbers are what is wrong. Judged for each such ring of slots on its own, so that
// a turned module elsewhere does not change the advice.
void mark_renumbering(std::vector<PlanSlot>& slots, const std::vector<bool>& all_right) {
  std::vector<bool> done(slots.size(), false);
  for (std::size_t start = 0; start < slots.size(); ++start) {
    std::vector<std::size_t> ring;
    bool right = true;
    for (std::size_t i = start; !done[i]; i = static_cast<std::size_t>(slots[i].home - 1)) {
      done[i] = true;
      ring.push_back(i);
      right = right && all_right[i];
    }
    if (ring.size() > 1 && right)
      for (std::size_t i : ring) slots[i].renumber = true;
  }
}

std::string step_text(const RepairStep& step, const PlanSlot& slot) {
  const std::string from = std::to_string(step.from_slot), to = std::to_string(step.to_slot);
  if (step.from_slot == step.to_slot) return "turn the module in slot " + from + " end for end";
  const bool odd = (step.to_slot - step.from_slot) % 2 != 0;
  const std::string text = "lift the module in slot " + from + " and put it in slot " + to;
  if (!slot.turn && odd)
    return text + " (an odd number of slots: turned if its vent and sign stand right now)";
  if (!slot.turn) return text + ", with its vent and sign as that slot needs them";
  if (!*slot.turn) return text + ", the same way round";
  return text + ", turned end for end" + (odd ? " (an odd number of slots needs a turn)" : "");
}

std::vector<RepairStep> fewest_steps(const std::vector<PlanSlot>& slots) {
  std::vector<int> free_homes;  // of the modules that need no turn
  std::vector<std::size_t> free_slots;
  const auto goes_to = [&](std::size_t i) {
    return slots[i].renumber ? static_cast<int>(i) + 1 : slots[i].home;
  };
  for (std::size_t i = 0; i < slots.size(); ++i)
    if (!slots[i].turn.value_or(false)) {
      free_homes.push_back(goes_to(i));
      free_slots.push_back(i);
    }
  std::vector<bool> stays(slots.size(), false);
  for (std::size_t k : longest_increasing_subsequence(free_homes)) stays[free_slots[k]] = true;
  std::vector<RepairStep> steps;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    if (stays[i]) continue;
    RepairStep step{static_cast<int>(i) + 1, goes_to(i), slots[i].turn.value_or(false), ""};
    step.text = step_text(step, slots[i]);
    steps.push_back(step);
  }
  return steps;
}

// Whether a slot's module has to be turned on its way home.
std::optional<bool> turn_needed(const Tells& tells, int slot, int home, bool number_known) {
  const bool odd = (home - slot) % 2 != 0;
  if (tells.says_wrong && tells.says_right) return std::nullopt;
  // Vent and sign are the electrical truth; a number may have been written the wrong way up.
  if (tells.says_wrong || tells.says_right) return tells.says_wrong != odd;
  if (!number_known || !tells.turned) return std::nullopt;
  // An upright number an odd number of slots away: moved without a turn, or a wrong number on a
  // module that stands right. Only vent or sign can tell which.
  if (odd && !*tells.turned) return std::nullopt;
  return tells.turned;
}

// Without the whole order nothing is moved. A module that sits in another's slot, or is unread
// while others do, is not turned where it is either: whether it needs it depends on where it goes.
void keep_in_place(std::vector<PlanSlot>& slots) {
  bool displaced = false;
  for (std::size_t i = 0; i < slots.size(); ++i)
    displaced |= slots[i].home != 0 && slots[i].home != static_cast<int>(i) + 1;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const int slot = static_cast<int>(i) + 1;
    if (slots[i].home == 0 && !displaced) slots[i].home = slot;
    if (slots[i].home != slot) slots[i].home = 0;
  }
}

}  // namespace

RepairPlan plan_repair(const std::vector<SideCase>& cases) {
  RepairPlan plan;
  if (cases.empty()) return plan;
  std::vector<Tells> tells;
  std::vector<bool> all_right, number_known;
  for (int slot = 1; slot <= cases.front().pack.modules; ++slot) {
    const Tells t = tells_of(cases, slot);
    PlanSlot s;
    s.home = home_of(cases, slot);
    s.contradictory = t.says_wrong && t.says_right;
    all_right.push_back(t.says_right && !t.says_wrong && t.turn_of_number);
    number_known.push_back(s.home != 0);
    plan.slots.push_back(s);
    tells.push_back(t);
  }
  if (every_number_is_known_once(plan.slots))
    mark_renumbering(plan.slots, all_right);
  else
    keep_in_place(plan.slots);
  std::vector<PlanSlot> to_do = plan.slots;
  for (std::size_t i = 0; i < to_do.size(); ++i) {
    PlanSlot& s = plan.slots[i];
    const int slot = static_cast<int>(i) + 1;
    if (!s.renumber && s.home != 0) s.turn = turn_needed(tells[i], slot, s.home, number_known[i]);
    to_do[i] = s;
    if (s.home == 0) to_do[i].home = slot;
  }
  plan.steps = fewest_steps(to_do);
  return plan;
}

}  // namespace plumbstack
