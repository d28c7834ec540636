// Pack, voltages, signs -> electrical preview: what stands at each tap, which bus bars would join
// like signs and, from meter readings, what may be wrong. Arithmetic of ideal cells in series.
//
//   slot 1     - [ module ] +      A bar joins neighbouring terminals, alternately at the two ends
//                           |      of the modules. One terminal of slot 1 and one of slot N stay
//   slot 2     + [ module ] -      free: they are the pack's own. A module that stands the wrong
//   way
//              |                   round takes its voltage away, and its bars join like signs,
//   slot 3     - [ module ] +      except where the neighbour stands so too.
//
// Bar k joins slots k and k + 1. Tap 0 is the pack's terminal at slot 1, tap j the bar behind block
// j, the last tap the pack's terminal at slot N. Voltages of taps are against the negative end.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/pack.hpp"

namespace plumbstack {

enum class StackEnd { first, last };  // at slot 1, at slot N
enum class WayRound { as_planned, wrong, not_known };

/// "as planned", "wrong way round", "not known"
const char* name_of(WayRound way);

struct VoltSpan {  // V
  double low = 0, high = 0;
};

/// Open-circuit voltage of the module that is planned for a slot.
struct ModuleVolts {
  double v = 0;               // V
  VoltSpan span;              // where it may be by now
  bool measured = false;      // else nominal
  std::string serial;         // empty = there is no plan
  std::optional<int> number;  // sequence number to be written on it
};

/// What was seen of the module that stands in a slot.
struct StackedModule {
  WayRound way_round = WayRound::as_planned;
  std::string why = {};  // of not_known: "no sign was read with trust"
  /// Slot for which this module is planned, by a number read with trust; nullopt = taken as
  /// planned.
  std::optional<int> home = {};
};

/// As makers state it: percent of the reading and steps of the last digit. The defaults are those
/// of an ordinary hand-held meter (common practice, no source).
struct MeterAccuracy {
  double percent = 0.5;
  double digits = 2;
  double step_v = 0.01;  // V, of the last digit
};
double meter_tolerance_v(const MeterAccuracy& meter, double volts);

/// Red lead on the tap that is to be positive. Both empty = not measured.
struct MeterReading {
  std::optional<double> v = {};
  bool open = false;  // no steady reading
};

struct ElectricalInput {
  std::vector<ModuleVolts> modules;    // slot 1 first, one for each of the pack
  std::vector<StackedModule> stacked;  // likewise
  bool signs_seen = false;             // else all as planned
  StackEnd negative_end = StackEnd::first;
  MeterAccuracy meter;
  std::vector<MeterReading> readings;    // one for each block; empty = there are none
  std::vector<std::string> assumptions;  // where voltages and signs come from
};

/// The two ends of the modules, in the frame with slot 1 at the top.
struct TerminalEnds {
  std::string left, right;        // "terminal-a", as people will know them
  Sign slot_1_left = Sign::plus;  // as planned
};
TerminalEnds terminal_ends(const Pack& pack);

enum class Join { unlike, like, not_known };
const char* name_of(Join join);  // "unlike", "like", "not known"

struct BarPreview {
  int bar = 0;  // joins slots bar and bar + 1
  End end = End::left;
  std::optional<Sign> upper, lower;  // as stacked, of slots bar and bar + 1; nullopt = not known
  Join join = Join::unlike;
};

enum class ReadingState { not_measured, within, outside, open };

struct BlockPreview {
  int block = 0;           // 1-based, from slot 1
  std::vector<int> slots;  // ascending
  double intended_v = 0;
  VoltSpan meter;                      // what a meter may show if all is as intended
  std::optional<double> as_stacked_v;  // nullopt = a sign is not known
  VoltSpan as_stacked;                 // whichever way round those modules are
  MeterReading reading;
  ReadingState state = ReadingState::not_measured;
};

struct TapPreview {
  int tap = 0;
  double intended_v = 0;  // against the negative end
  VoltSpan meter;
  std::optional<double> as_stacked_v;
};

/// Over this voltage DC counts as high: UN ECE R100 (over 60 V and up to 1500 V DC); ISO 6469-3
/// calls it voltage class B (that one from memory).
inline constexpr double kHighVoltageV = 60;

struct HighVoltage {
  double charged_module_v = 0;  // V; of charged cells, or as measured where that is more
  double charged_pack_v = 0;
  std::optional<int> fewest_modules;  // neighbours that are over the limit; nullopt = not even all
  std::optional<int> slot;            // with which the voltage from the negative end passes it
  std::optional<int> tap;             // the first over it, from the negative end
};

enum class FaultKind {
  turned,         // stands the wrong way round: takes its voltage away
  shorted_cells,  // some cells of one module give nothing
  open,           // a module is missing or a connection is loose
  swapped         // two modules of different blocks changed places, each the right way round
};

struct Fault {
  FaultKind kind = FaultKind::turned;
  int block = 0;
  int other_block = 0;     // of swapped, else 0
  int cells = 0;           // of shorted_cells: how many of one module, else 0
  std::vector<int> slots;  // turned, shorted: the module; swapped: both; open: all of the block
  // clang-tidy 14 takes the 0 within a defaulted <=> for a pointer.
  auto operator<=>(const Fault&) const = default;  // NOLINT(modernize-use-nullptr)
};

/// Faults that together account for every reading. Where modules can't be told apart by voltage,
/// each of the candidates does.
struct Explanation {
  std::vector<Fault> faults;                   // slots: of the first candidate
  std::vector<std::vector<Fault>> candidates;  // each as long as faults; alike but for the slots
  bool against_signs = false;                  // contradicts signs or numbers read with trust
  double misfit = 0;  // of the best candidate: mean distance from the middle of the spans, 1 = edge
};

/// "one of the modules in slots 7 and 8 stands the wrong way round"
std::string words_of(const Explanation& explanation);

enum class DiagnosisState {
  no_readings,
  all_within,
  explained,           // one or two faults account for all readings
  explained_by_block,  // more than two, so each block was looked at alone
  not_explained
};
const char* name_of(DiagnosisState state);

struct Diagnosis {
  DiagnosisState state = DiagnosisState::no_readings;
  std::vector<Explanation> explanations;  // the best first; by block: by block, then the best first
  std::vector<int> unexplained_blocks;
  bool cut_short = false;  // there are more candidates than are listed
};

enum class Outcome { as_intended, fix, not_known };
const char* name_of(Outcome outcome);  // "as intended", "fix", "not known"

struct Advice {
  Outcome weight = Outcome::fix;
  std::string message;  // what is so
  std::string action;   // what to do
};

struct Preview {
  Outcome outcome = Outcome::as_intended;
  std::vector<Advice> advice;  // what is to be fixed first
  TerminalEnds ends;
  std::vector<BarPreview> bars;
  std::vector<BlockPreview> blocks;
  std::vector<TapPreview> taps;
  double intended_v = 0;  // of the pack
  VoltSpan meter;
  std::optional<double> as_stacked_v;
  VoltSpan as_stacked;
  HighVoltage high;
  Diagnosis diagnosis;
  std::vector<std::string> assumptions;
};

/// @pre pack.electrical is given; modules and stacked have one entry for each slot, readings none
/// or one for each block
Preview electrical_preview(const Pack& pack, const ElectricalInput& input);

/// Slots of each block, the one with slot 1 first; the last may be short.
std::vector<std::vector<int>> slots_by_block(const Pack& pack);

/// Exact: 1 lbf = 4.4482216152605 N and 1 in = 25.4 mm (NIST SP 811).
inline constexpr double kNewtonMetresInPoundForceInch = 4.4482216152605 * 0.0254;
inline constexpr double pound_force_inches(double newton_metres) {
  return newton_metres / kNewtonMetresInPoundForceInch;
}

}  // namespace plumbstack
