#include "rules.hpp"

namespace plumbstack {
namespace {

bool comparable(const SideCase& c) {
  return c.evidence.stack_found && c.evidence.slot_1_at &&
         c.evidence.marks.slots.size() == static_cast<std::size_t>(c.pack.modules);
}

}  // namespace

// A turned module shows on every side that tells its way round, and a module has one number. Where
// two sides say otherwise, one photo is of another stack or one reading is wrong: no verdict stands
// on it.
std::vector<Finding> compare_sides(const std::vector<SideCase>& cases) {
  std::vector<Finding> found;
  for (std::size_t a = 0; a < cases.size(); ++a)
    for (std::size_t b = a + 1; b < cases.size(); ++b) {
      if (!comparable(cases[a]) || !comparable(cases[b])) continue;
      std::vector<int> slots;
      for (int slot = 1; slot <= cases[a].pack.modules; ++slot) {
        const auto one = turned(cases[a], slot), two = turned(cases[b], slot);
        const auto number = trusted_number(cases[a], slot), again = trusted_number(cases[b], slot);
        if ((one && two && *one != *two) || (number && again && *number != *again))
          slots.push_back(slot);
      }
      if (!slots.empty())
        found.push_back(
            {"sides.disagree", Severity::retake, "", slots,
             cases[a].side.name + " and " + cases[b].side.name + " contradict each other on " +
                 slots_text(slots),
             "check that both photos show this stack, and photograph both sides again"});
    }
  return found;
}

}  // namespace plumbstack
