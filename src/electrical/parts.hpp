// What the steps of the preview share.
#pragma once

#include "plumbstack/electrical.hpp"

namespace plumbstack {

VoltSpan operator+(VoltSpan a, VoltSpan b);
VoltSpan operator*(double factor, VoltSpan span);

/// Whether the reading lies in the span, its ends included.
bool holds(VoltSpan span, double reading);

/// What a meter may show of a voltage that lies in the span.
VoltSpan as_metered(const MeterAccuracy& meter, VoltSpan span);

/// The module that stands in the slot, which may be another than planned.
const ModuleVolts& standing_in(const ElectricalInput& input, int slot);

std::vector<BarPreview> series_path(const Pack& pack, const ElectricalInput& input,
                                    const TerminalEnds& ends);
/// Sign that a terminal shows as stacked; nullopt = not known.
std::optional<Sign> sign_at(const ElectricalInput& input, const TerminalEnds& ends, int slot,
                            End end);

std::vector<BlockPreview> block_voltages(const Pack& pack, const ElectricalInput& input);
std::vector<TapPreview> tap_voltages(const ElectricalInput& input,
                                     const std::vector<BlockPreview>& blocks);
HighVoltage high_voltage(const Pack& pack, const ElectricalInput& input);

/// @param blocks of this input
Diagnosis diagnose(const Pack& pack, const ElectricalInput& input,
                   const std::vector<BlockPreview>& blocks);

std::vector<Advice> advice_for(const Pack& pack, const ElectricalInput& input,
                               const Preview& preview);

/// A file's name as a page and a document can show it, which take UTF-8 only.
std::string shown_name(const std::string& file);

/// "slot 7", "slots 3 to 5, 7 and 9"; likewise for bars and blocks.
std::string listed(const std::string& one, const std::vector<int>& numbers);

}  // namespace plumbstack
