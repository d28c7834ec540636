#include <algorithm>

#include "parts.hpp"

namespace plumbstack {
namespace {

Sign planned_at_left(const TerminalEnds& ends, int slot) {
  return slot % 2 == 1 ? ends.slot_1_left : other(ends.slot_1_left);
}

void add_name(std::string& names, const std::string& name) {
  names += (names.empty() ? "" : ", ") + name;
}

// A side that shows both ends fixes what left is; else the first that shows one of them is left.
const Side* side_that_fixes_left(const Pack& pack) {
  const auto find = [&](auto good) {
    const auto at = std::find_if(pack.sides.begin(), pack.sides.end(), good);
    return at == pack.sides.end() ? nullptr : &*at;
  };
  if (const Side* side = find([](const Side& s) { return s.sign && s.sign->end; })) return side;
  return find([](const Side& s) { return s.sign.has_value(); });
}

}  // namespace

TerminalEnds terminal_ends(const Pack& pack) {
  TerminalEnds ends;
  const Side* fixes = side_that_fixes_left(pack);
  if (fixes)
    ends.slot_1_left =
        fixes->sign->end == End::right ? other(fixes->sign->slot_1) : fixes->sign->slot_1;
  for (const Side& side : pack.sides)
    if (side.sign && !side.sign->end)
      add_name(side.sign->slot_1 == ends.slot_1_left ? ends.left : ends.right, side.name);
  const bool both = fixes && fixes->sign->end;
  if (ends.left.empty()) ends.left = both ? "left on side " + fixes->name : "one end";
  if (ends.right.empty()) ends.right = both ? "right on side " + fixes->name : "the other end";
  return ends;
}

std::optional<Sign> sign_at(const ElectricalInput& input, const TerminalEnds& ends, int slot,
                            End end) {
  const WayRound way = input.stacked[static_cast<std::size_t>(slot - 1)].way_round;
  if (way == WayRound::not_known) return std::nullopt;
  const Sign left = planned_at_left(ends, slot);
  const Sign planned = end == End::left ? left : other(left);
  return way == WayRound::wrong ? other(planned) : planned;
}

// Where the pack's negative end is at slot 1, the minus of slot 1 stays free and the first bar is
// at its plus; else the other way round.
std::vector<BarPreview> series_path(const Pack& pack, const ElectricalInput& input,
                                    const TerminalEnds& ends) {
  const Sign first = input.negative_end == StackEnd::first ? Sign::plus : Sign::minus;
  const End first_end = ends.slot_1_left == first ? End::left : End::right;
  std::vector<BarPreview> bars;
  for (int k = 1; k < pack.modules; ++k) {
    BarPreview bar;
    bar.bar = k;
    bar.end = k % 2 == 1 ? first_end : other(first_end);
    bar.upper = sign_at(input, ends, k, bar.end);
    bar.lower = sign_at(input, ends, k + 1, bar.end);
    bar.join = !bar.upper || !bar.lower ? Join::not_known
               : bar.upper == bar.lower ? Join::like
                                        : Join::unlike;
    bars.push_back(bar);
  }
  return bars;
}

}  // namespace plumbstack
