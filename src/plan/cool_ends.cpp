// Weaker blocks to the cooler ends, and in each block the weaker module to the cooler side.
#include <algorithm>
#include <numeric>

#include "plan_parts.hpp"

namespace plumbstack {
namespace {

Load load_of(const std::vector<std::size_t>& block, const std::vector<TestedModule>& modules) {
  Load sum;
  for (const std::size_t i : block) {
    sum.capacity += millionths(modules[i].capacity_ah);
    sum.resistance += millionths(modules[i].resistance_mohm);
  }
  return sum;
}

bool weaker(const Load& a, const Load& b) {
  return a.capacity != b.capacity ? a.capacity < b.capacity : a.resistance > b.resistance;
}

// True where slots of lower number are the cooler ones of the block at this place.
bool lower_is_cooler(std::size_t place, std::size_t blocks, CoolEnd cool) {
  switch (cool) {
    case CoolEnd::first: return true;
    case CoolEnd::last: return false;
    case CoolEnd::both: return 2 * place < blocks;
  }
  return true;
}

}  // namespace

std::vector<std::size_t> coolest_first(std::size_t blocks, CoolEnd cool) {
  std::vector<std::size_t> places(blocks);
  std::iota(places.begin(), places.end(), std::size_t{0});
  if (cool == CoolEnd::last) std::reverse(places.begin(), places.end());
  if (cool == CoolEnd::both)
    for (std::size_t i = 0; i < blocks; ++i) places[i] = i % 2 == 0 ? i / 2 : blocks - 1 - i / 2;
  return places;
}

std::vector<std::vector<std::size_t>> laid_out(const std::vector<std::vector<std::size_t>>& members,
                                               const std::vector<TestedModule>& modules,
                                               CoolEnd cool) {
  std::vector<std::vector<std::size_t>> weakest_first = members;
  std::stable_sort(weakest_first.begin(), weakest_first.end(), [&](const auto& a, const auto& b) {
    return weaker(load_of(a, modules), load_of(b, modules));
  });
  std::vector<std::vector<std::size_t>> blocks(members.size());
  const std::vector<std::size_t> places = coolest_first(members.size(), cool);
  for (std::size_t i = 0; i < places.size(); ++i) {
    std::vector<std::size_t>& block = blocks[places[i]];
    block = weakest_first[i];
    std::stable_sort(block.begin(), block.end(), [&](std::size_t a, std::size_t b) {
      return weaker(load_of({a}, modules), load_of({b}, modules));
    });
    if (!lower_is_cooler(places[i], members.size(), cool)) std::reverse(block.begin(), block.end());
  }
  return blocks;
}

}  // namespace plumbstack
