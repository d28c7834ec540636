// Pack definition, test sheet -> Plan: which module goes to which slot, which stay out and why.
//
//   sheet ──> modules within limits ──> blocks ──> slots
//   read      refuse the rest           arrange    weaker blocks to the cooler ends
#pragma once

#include <string>
#include <vector>

#include "plumbstack/pack.hpp"
#include "plumbstack/test_sheet.hpp"

namespace plumbstack {

struct PlannedSlot {
  int slot = 0;            // 1-based
  int number = 0;          // sequence number to write on the module
  std::size_t module = 0;  // place in TestSheet::modules
};

struct PlannedBlock {
  int block = 0;           // 1-based, from slot 1
  std::vector<int> slots;  // neighbours, ascending; fewer than the pack's block size in a short one
  bool full = true;
  double capacity_sum_ah = 0;
  double capacity_min_ah = 0;
  double resistance_sum_mohm = 0;
};

struct RefusedModule {
  std::size_t module = 0;  // place in TestSheet::modules
  std::string reason;      // "leak test failed; capacity 4.8 Ah is under 5 Ah"
};

/// Largest sum of a full block less the smallest.
struct BlockSpread {
  double capacity_ah = 0;
  double resistance_mohm = 0;
};

struct Plan {
  std::vector<PlannedSlot> slots;    // slot 1 first, one for each of the pack
  std::vector<PlannedBlock> blocks;  // the one with slot 1 first
  BlockSpread spread;
  BlockSpread before;                  // of the good modules in the order of the sheet
  std::vector<double> before_ah;       // and the sum of capacity of each of those full blocks
  double bound_ah = 0;                 // no arrangement has a smaller spread of capacity
  bool resistance_proved = false;      // nor, at this spread of capacity, of resistance
  std::vector<std::size_t> spares;     // places in TestSheet::modules, strongest first
  std::vector<RefusedModule> refused;  // in the order of the sheet
};

/// Modules beyond the pack's limits are refused: a leak test that failed or was not done where the
/// sheet has a column for it; capacity under and resistance over the limit; and those outside the
/// window of voltage, as wide as the pack allows, that holds most of the others.
/// The rest is arranged as arrange.hpp says. A short last block takes the strongest of what is
/// left. Weaker blocks (smaller sum of capacity, then larger of resistance) go to the cooler ends,
/// and in a block the weaker module to the cooler side: common practice, no source. Error:
/// modules_short, with the reasons.
Result<Plan> make_plan(const Pack& pack, const TestSheet& sheet);

/// Modules of a block of this pack.
int block_size(const Pack& pack);

}  // namespace plumbstack
