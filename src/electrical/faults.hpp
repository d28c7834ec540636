// A fault as what it does to the voltages of blocks.
#pragma once

#include "parts.hpp"

namespace plumbstack {

using Faults = std::vector<Fault>;  // sorted

class FaultModel {
 public:
  FaultModel(const Pack& pack, const ElectricalInput& input);

  /// All single faults that change this block, those that reach into another one only if asked for.
  Faults touching(int block, bool swaps) const;
  /// False where two faults make no case of their own: the same module turned twice, say.
  bool can_stand_together(const Fault& a, const Fault& b) const;
  /// Whether the block's reading can come about with these faults; true where there is none.
  bool fits(const Faults& faults, int block) const;
  /// Blocks that these faults change.
  std::vector<int> touched(const Faults& faults) const;
  /// Mean distance of the readings of touched blocks from the middle of their spans, 1 = at the
  /// edge.
  double misfit(const Faults& faults) const;
  /// Contradicts what was read with trust: signs, or the numbers of modules said to be swapped.
  bool against_what_was_seen(const Faults& faults) const;

 private:
  VoltSpan metered(const Faults& faults, int block) const;
  int block_of(int slot) const;
  const MeterReading& reading(int block) const;

  const ElectricalInput& input_;
  int cells_;
  std::vector<std::vector<int>> blocks_;
  std::vector<VoltSpan> spans_;  // of blocks as intended, V
};

}  // namespace plumbstack
