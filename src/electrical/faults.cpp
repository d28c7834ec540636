#include "faults.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace plumbstack {
namespace {

bool opens(const Faults& faults, int block) {
  return std::any_of(faults.begin(), faults.end(),
                     [&](const Fault& f) { return f.kind == FaultKind::open && f.block == block; });
}

bool share_a_slot(const Fault& a, const Fault& b) {
  return std::any_of(a.slots.begin(), a.slots.end(), [&](int slot) {
    return std::find(b.slots.begin(), b.slots.end(), slot) != b.slots.end();
  });
}

// Which module stands in the slot, and what share of its voltage it adds.
struct Standing {
  int planned_for;
  double factor;
};

Standing standing(const Faults& faults, int slot, int cells) {
  Standing here{slot, 1};
  for (const Fault& f : faults) {
    if (std::find(f.slots.begin(), f.slots.end(), slot) == f.slots.end()) continue;
    if (f.kind == FaultKind::turned) here.factor = -here.factor;
    if (f.kind == FaultKind::shorted_cells) here.factor *= 1 - static_cast<double>(f.cells) / cells;
    if (f.kind == FaultKind::swapped)
      here.planned_for = f.slots[0] == slot ? f.slots[1] : f.slots[0];
  }
  return here;
}

}  // namespace

FaultModel::FaultModel(const Pack& pack, const ElectricalInput& input)
    : input_(input),
      cells_(pack.electrical->cells_per_module),
      blocks_(slots_by_block(pack)),
      spans_(blocks_.size()) {
  for (std::size_t b = 0; b < blocks_.size(); ++b)
    for (const int slot : blocks_[b])
      spans_[b] = spans_[b] + input.modules[static_cast<std::size_t>(slot - 1)].span;
}

int FaultModel::block_of(int slot) const {
  return (slot - 1) / static_cast<int>(blocks_.front().size()) + 1;
}

const MeterReading& FaultModel::reading(int block) const {
  return input_.readings[static_cast<std::size_t>(block - 1)];
}

Faults FaultModel::touching(int block, bool swaps) const {
  const std::vector<int>& slots = blocks_[static_cast<std::size_t>(block - 1)];
  Faults all{{FaultKind::open, block, 0, 0, slots}};
  for (const int slot : slots) {
    all.push_back({FaultKind::turned, block, 0, 0, {slot}});
    for (int cells = 1; cells <= cells_; ++cells)
      all.push_back({FaultKind::shorted_cells, block, 0, cells, {slot}});
    if (!swaps) continue;
    for (int far = 1; far <= static_cast<int>(input_.modules.size()); ++far)
      if (const int other = block_of(far); other != block)
        all.push_back({FaultKind::swapped,
                       std::min(block, other),
                       std::max(block, other),
                       0,
                       {std::min(slot, far), std::max(slot, far)}});
  }
  return all;
}

bool FaultModel::can_stand_together(const Fault& a, const Fault& b) const {
  const bool open = a.kind == FaultKind::open || b.kind == FaultKind::open;
  if (open && (a.block == b.block || a.block == b.other_block || a.other_block == b.block))
    return false;  // no more can be told of an open block
  return a.kind != b.kind || !share_a_slot(a, b);
}

VoltSpan FaultModel::metered(const Faults& faults, int block) const {
  if (opens(faults, block)) return as_metered(input_.meter, {0, 0});
  VoltSpan span = spans_[static_cast<std::size_t>(block - 1)];
  std::vector<int> changed;
  for (const Fault& f : faults)
    for (const int slot : f.slots)
      if (block_of(slot) == block &&
          std::find(changed.begin(), changed.end(), slot) == changed.end())
        changed.push_back(slot);
  for (const int slot : changed) {
    const Standing here = standing(faults, slot, cells_);
    const VoltSpan planned = input_.modules[static_cast<std::size_t>(slot - 1)].span;
    const VoltSpan now =
        here.factor * input_.modules[static_cast<std::size_t>(here.planned_for - 1)].span;
    span = {span.low - planned.low + now.low, span.high - planned.high + now.high};
  }
  return as_metered(input_.meter, span);
}

bool FaultModel::fits(const Faults& faults, int block) const {
  const MeterReading& read = reading(block);
  if (read.open) return opens(faults, block);
  if (!read.v) return true;
  return holds(metered(faults, block), *read.v);
}

std::vector<int> FaultModel::touched(const Faults& faults) const {
  std::vector<int> blocks;
  for (const Fault& f : faults)
    for (const int block : {f.block, f.other_block})
      if (block != 0 && std::find(blocks.begin(), blocks.end(), block) == blocks.end())
        blocks.push_back(block);
  return blocks;
}

double FaultModel::misfit(const Faults& faults) const {
  double sum = 0;
  int many = 0;
  for (const int block : touched(faults)) {
    if (!reading(block).v) continue;
    const VoltSpan span = metered(faults, block);
    const double half = (span.high - span.low) / 2;
    sum += half > 0 ? std::abs(*reading(block).v - (span.high + span.low) / 2) / half : 0;
    ++many;
  }
  return many == 0 ? 0 : sum / many;
}

bool FaultModel::against_what_was_seen(const Faults& faults) const {
  if (!input_.signs_seen) return false;
  for (int slot = 1; slot <= static_cast<int>(input_.stacked.size()); ++slot) {
    const StackedModule& seen = input_.stacked[static_cast<std::size_t>(slot - 1)];
    const bool turned = std::any_of(faults.begin(), faults.end(), [&](const Fault& f) {
      return f.kind == FaultKind::turned && f.slots.front() == slot;
    });
    if (seen.way_round != WayRound::not_known && turned != (seen.way_round == WayRound::wrong))
      return true;
    const int stands = standing(faults, slot, cells_).planned_for;
    if (stands != slot && seen.home && *seen.home != stands) return true;
  }
  return false;
}

}  // namespace plumbstack
