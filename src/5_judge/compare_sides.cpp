// A module that is the wrong way round shows it on every side, and it has one number. Where two
// sides say otherwise, one photo is of another stack or one reading is wrong: no verdict stands on
// it, so the severity is retake.
#include "rules.hpp"

namespace plumbstack {
namespace {

// What a side claims about a slot's way round, by each of its trusted marks. A number tells the
// turn since numbering; that is the way round only where the module sits an even number of slots
// from its own. (At an odd distance the difference may be wrong numbering: number.order says it.)
std::vector<bool> claims(const SideCase& c, int slot) {
  std::vector<bool> wrong;
  if (const auto by_vent = wrong_by_vent(c, slot)) wrong.push_back(*by_vent);
  if (const auto by_sign = wrong_by_sign(c, slot)) wrong.push_back(*by_sign);
  const auto home = home_slot(c, slot);
  const auto turned = turned_by_number(c, slot);
  if (home && turned && *home >= 1 && *home <= c.pack.modules && (*home - slot) % 2 == 0)
    wrong.push_back(*turned);
  return wrong;
}

bool contradict(const SideCase& a, const SideCase& b, int slot) {
  const auto home_a = home_slot(a, slot), home_b = home_slot(b, slot);
  if (home_a && home_b && *home_a != *home_b) return true;
  for (bool one : claims(a, slot))
    for (bool two : claims(b, slot))
      if (one != two) return true;
  return false;
}

}  // namespace

std::vector<Finding> compare_sides(const std::vector<SideCase>& cases) {
  std::vector<Finding> found;
  for (std::size_t a = 0; a < cases.size(); ++a)
    for (std::size_t b = a + 1; b < cases.size(); ++b) {
      std::vector<int> slots;
      for (int slot = 1; slot <= cases[a].pack.modules; ++slot)
        if (contradict(cases[a], cases[b], slot)) slots.push_back(slot);
      if (!slots.empty())
        found.push_back({"sides.disagree", Severity::retake, "", slots,
                         "sides " + cases[a].side.name + " and " + cases[b].side.name +
                             " contradict each other on " + slots_text(slots),
                         "check that both photos show this stack and that slot 1 is at the edge "
                         "named, and photograph both sides again"});
    }
  return found;
}

}  // namespace plumbstack
