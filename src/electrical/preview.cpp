#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"

namespace plumbstack {
namespace {

std::string meter_words(const MeterAccuracy& meter) {
  const auto plain = [](double value) {
    std::string text = std::to_string(value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
  };
  return "Meter: ±(" + plain(meter.percent) + " % of the reading + " + plain(meter.digits) +
         " steps of " + plain(meter.step_v) + " V). Tolerances of modules add in full.";
}

std::vector<std::string> assumptions_of(const Pack& pack, const ElectricalInput& input,
                                        const HighVoltage& high) {
  const bool first = input.negative_end == StackEnd::first;
  std::vector<std::string> all = input.assumptions;
  all.push_back(
      "One row of modules in series, bus bars between neighbours alternately at the two ends; no "
      "service plug, fuse or load in it.");
  all.push_back("The pack's negative end is at slot " + std::to_string(first ? 1 : pack.modules) +
                ".");
  all.push_back("Ideal cells at rest: no current, no voltage lost in bars and nuts.");
  all.push_back(meter_words(input.meter));
  all.push_back("Charged, a module stands at " + fixed(high.charged_module_v, 2) + " V (" +
                std::to_string(pack.electrical->cells_per_module) + " cells of " +
                fixed(pack.electrical->charged_v_per_cell, 2) +
                " V, or the highest measured if that is more). Over 60 V DC counts as high voltage "
                "(UN ECE R100; voltage class B of ISO 6469-3, that one from memory).");
  return all;
}

}  // namespace

Preview electrical_preview(const Pack& pack, const ElectricalInput& input) {
  Preview preview;
  preview.ends = terminal_ends(pack);
  preview.bars = series_path(pack, input, preview.ends);
  preview.blocks = block_voltages(pack, input);
  preview.taps = tap_voltages(input, preview.blocks);
  const TapPreview& positive =
      input.negative_end == StackEnd::first ? preview.taps.back() : preview.taps.front();
  preview.intended_v = positive.intended_v;
  preview.meter = positive.meter;
  preview.as_stacked_v = positive.as_stacked_v;
  for (const BlockPreview& block : preview.blocks)
    preview.as_stacked = preview.as_stacked + block.as_stacked;
  preview.high = high_voltage(pack, input);
  preview.diagnosis = diagnose(pack, input, preview.blocks);
  preview.assumptions = assumptions_of(pack, input, preview.high);
  preview.advice = advice_for(pack, input, preview);
  for (const Advice& advice : preview.advice)
    if (preview.outcome != Outcome::fix) preview.outcome = advice.weight;
  return preview;
}

}  // namespace plumbstack
