// Sums along the row. Tolerances add in full, without credit for chance: what moves one module's
// voltage (charge, temperature, the meter's own gain) mostly moves all of them alike, and then
// nothing cancels (JCGM 100:2008, 5.2.2: fully correlated inputs add).
#include <algorithm>
#include <cmath>
#include <functional>

#include "parts.hpp"

namespace plumbstack {
namespace {

const StackedModule& seen_in(const ElectricalInput& input, int slot) {
  return input.stacked[static_cast<std::size_t>(slot - 1)];
}

void add_stacked(BlockPreview& block, const ElectricalInput& input, int slot) {
  const double v = standing_in(input, slot).v;
  switch (seen_in(input, slot).way_round) {
    case WayRound::as_planned: block.as_stacked = block.as_stacked + VoltSpan{v, v}; break;
    case WayRound::wrong: block.as_stacked = block.as_stacked + VoltSpan{-v, -v}; break;
    case WayRound::not_known:
      block.as_stacked = block.as_stacked + VoltSpan{-v, v};
      block.as_stacked_v.reset();
      return;
  }
  if (block.as_stacked_v) block.as_stacked_v = block.as_stacked.low;
}

ReadingState state_of(const BlockPreview& block) {
  if (block.reading.open) return ReadingState::open;
  if (!block.reading.v) return ReadingState::not_measured;
  return holds(block.meter, *block.reading.v) ? ReadingState::within : ReadingState::outside;
}

}  // namespace

VoltSpan operator+(VoltSpan a, VoltSpan b) {
  return {a.low + b.low, a.high + b.high};
}

VoltSpan operator*(double factor, VoltSpan span) {
  const double one = factor * span.low, two = factor * span.high;
  return {std::min(one, two), std::max(one, two)};
}

bool holds(VoltSpan span, double reading) {
  constexpr double kRounding = 1e-9;  // V, of sums in another order
  return reading >= span.low - kRounding && reading <= span.high + kRounding;
}

double meter_tolerance_v(const MeterAccuracy& meter, double volts) {
  return meter.percent / 100 * std::abs(volts) + meter.digits * meter.step_v;
}

VoltSpan as_metered(const MeterAccuracy& meter, VoltSpan span) {
  return {span.low - meter_tolerance_v(meter, span.low),
          span.high + meter_tolerance_v(meter, span.high)};
}

const ModuleVolts& standing_in(const ElectricalInput& input, int slot) {
  return input.modules[static_cast<std::size_t>(seen_in(input, slot).home.value_or(slot) - 1)];
}

std::vector<std::vector<int>> slots_by_block(const Pack& pack) {
  const int size = pack.electrical.value_or(ElectricalRule{}).modules_per_block;
  std::vector<std::vector<int>> blocks;
  for (int slot = 1; slot <= pack.modules; ++slot) {
    if ((slot - 1) % size == 0) blocks.emplace_back();
    blocks.back().push_back(slot);
  }
  return blocks;
}

std::vector<BlockPreview> block_voltages(const Pack& pack, const ElectricalInput& input) {
  std::vector<BlockPreview> blocks;
  for (const std::vector<int>& slots : slots_by_block(pack)) {
    BlockPreview block;
    block.block = static_cast<int>(blocks.size()) + 1;
    block.slots = slots;
    block.as_stacked_v = 0;
    VoltSpan span;
    for (const int slot : slots) {
      const ModuleVolts& module = input.modules[static_cast<std::size_t>(slot - 1)];
      block.intended_v += module.v;
      span = span + module.span;
      add_stacked(block, input, slot);
    }
    block.meter = as_metered(input.meter, span);
    if (!input.readings.empty()) block.reading = input.readings[blocks.size()];
    block.state = state_of(block);
    blocks.push_back(block);
  }
  return blocks;
}

std::vector<TapPreview> tap_voltages(const ElectricalInput& input,
                                     const std::vector<BlockPreview>& blocks) {
  const bool upwards = input.negative_end == StackEnd::last;
  std::vector<TapPreview> taps(1);
  taps.front().as_stacked_v = 0;
  VoltSpan span;
  const auto add = [&](const BlockPreview& block) {
    TapPreview tap = taps.back();
    tap.intended_v += block.intended_v;
    for (const int slot : block.slots)
      span = span + input.modules[static_cast<std::size_t>(slot - 1)].span;
    tap.meter = as_metered(input.meter, span);
    if (tap.as_stacked_v && block.as_stacked_v)
      *tap.as_stacked_v += *block.as_stacked_v;
    else
      tap.as_stacked_v.reset();
    taps.push_back(tap);
  };
  taps.front().meter = as_metered(input.meter, span);
  if (upwards)
    std::for_each(blocks.rbegin(), blocks.rend(), add);
  else
    std::for_each(blocks.begin(), blocks.end(), add);
  if (upwards) std::reverse(taps.begin(), taps.end());
  for (std::size_t i = 0; i < taps.size(); ++i) taps[i].tap = static_cast<int>(i);
  return taps;
}

HighVoltage high_voltage(const Pack& pack, const ElectricalInput& input) {
  constexpr double kRounding = 1e-9;  // V: eight times 7.5 V is not over 60 V
  HighVoltage high;
  high.charged_module_v = pack.electrical->cells_per_module * pack.electrical->charged_v_per_cell;
  for (const ModuleVolts& module : input.modules)
    if (module.measured) high.charged_module_v = std::max(high.charged_module_v, module.v);
  high.charged_pack_v = pack.modules * high.charged_module_v;
  int many = 1;
  while (many <= pack.modules && many * high.charged_module_v <= kHighVoltageV + kRounding) ++many;
  if (many > pack.modules) return high;
  const bool upwards = input.negative_end == StackEnd::last;
  high.fewest_modules = many;
  high.slot = upwards ? pack.modules + 1 - many : many;
  const int block = (*high.slot - 1) / pack.electrical->modules_per_block;  // 0-based
  high.tap = upwards ? block : block + 1;
  return high;
}

}  // namespace plumbstack
