#include "rules.hpp"

namespace plumbstack {
namespace {

using Tell = std::optional<bool> (*)(const SideCase&, int);
using Doubt = bool (*)(const SideCase&, int);

struct WayRound {  // slots by what one kind of mark says
  std::vector<int> repeat, contradictory, doubtful, unsure_settled, unsure_open;
};

WayRound sort_slots(const SideCase& c, Tell tell, Doubt doubtful, Tell other_tell) {
  WayRound sorted;
  for (int slot = 1; slot <= c.pack.modules; ++slot) {
    if (!c.at(slot).seen) continue;
    if (doubtful && doubtful(c, slot)) {
      sorted.doubtful.push_back(slot);
      continue;
    }
    const std::optional<bool> wrong = tell(c, slot), other_wrong = other_tell(c, slot);
    if (!wrong) (other_wrong ? sorted.unsure_settled : sorted.unsure_open).push_back(slot);
    if (!wrong || !*wrong) continue;
    sorted.repeat.push_back(slot);
    if (other_wrong && !*other_wrong) sorted.contradictory.push_back(slot);
  }
  return sorted;
}

struct Words {
  std::string mark, other, wrong_one, wrong_many;
};

std::string repeat_message(const WayRound& sorted, const Words& words) {
  const std::vector<int>& slots = sorted.repeat;
  std::string text = slots_text(slots) + (slots.size() == 1 ? words.wrong_one : words.wrong_many);
  if (!sorted.contradictory.empty())
    text += "; on " + slots_text(sorted.contradictory) + " vent and sign contradict each other";
  return text;
}

// A whole row the other way round is more often a photo or a definition taken from the other end
// than as many modules turned one by one.
std::string repeat_action(const SideCase& c, const RepairPlan& plan,
                          const std::vector<int>& slots) {
  const std::string turn =
      advice(plan, slots, "when the order is right, see which way round the modules stand in");
  if (c.pack.modules > 1 && slots.size() == static_cast<std::size_t>(c.pack.modules))
    return "the whole row is the other way round: check first that slot 1 is at the edge named and "
           "that the pack definition fits; if both are right, before any bus bar goes on: " +
           turn;
  return "before any bus bar goes on: " + turn;
}

void report(const SideCase& c, const RepairPlan& plan, const WayRound& sorted, const Words& words,
            std::vector<Finding>& found) {
  if (!sorted.repeat.empty())
    found.push_back({words.mark + ".repeat", Severity::fix, c.side.name, sorted.repeat,
                     repeat_message(sorted, words), repeat_action(c, plan, sorted.repeat)});
  if (!sorted.doubtful.empty())
    found.push_back({words.mark + ".doubtful", Severity::retake, c.side.name, sorted.doubtful,
                     slots_text(sorted.doubtful) + " may stand the wrong way round by the " +
                         words.mark + ": not clear enough to be sure",
                     "look at " + modules_text(sorted.doubtful) +
                         ": turn what stands wrong, and photograph again"});
  if (!sorted.unsure_settled.empty())
    found.push_back({words.mark + ".unsure", Severity::note, c.side.name, sorted.unsure_settled,
                     "the " + words.mark + " of " + slots_text(sorted.unsure_settled) +
                         " can't be seen with trust; the " + words.other +
                         " tells which way round it is",
                     "nothing to do"});
  if (!sorted.unsure_open.empty())
    found.push_back({words.mark + ".unsure", Severity::retake, c.side.name, sorted.unsure_open,
                     "the " + words.mark + " of " + slots_text(sorted.unsure_open) +
                         " can't be seen with trust",
                     "clear what covers it, change the angle or the light, and photograph again"});
}

}  // namespace

std::vector<Finding> way_round_findings(const SideCase& c, const RepairPlan& plan) {
  std::vector<Finding> found;
  if (c.side.vent)
    report(c, plan, sort_slots(c, wrong_by_vent, nullptr, wrong_by_sign),
           {"vent", "sign", " has its vent at the wrong end", " have their vents at the wrong end"},
           found);
  if (c.side.sign)
    report(c, plan, sort_slots(c, wrong_by_sign, doubtful_sign, wrong_by_vent),
           {"sign", "vent", " shows the wrong sign", " show the wrong sign"}, found);
  return found;
}

}  // namespace plumbstack
