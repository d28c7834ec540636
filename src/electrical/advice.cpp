// What is to be done, from what was worked out; the order is that of doing it.
#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"

namespace plumbstack {
namespace {

std::vector<int> slots_that_are(const ElectricalInput& input, WayRound way) {
  std::vector<int> slots;
  for (std::size_t i = 0; i < input.stacked.size(); ++i)
    if (input.stacked[i].way_round == way) slots.push_back(static_cast<int>(i) + 1);
  return slots;
}

std::vector<int> bars_that_are(const std::vector<BarPreview>& bars, Join join) {
  std::vector<int> numbers;
  for (const BarPreview& bar : bars)
    if (bar.join == join) numbers.push_back(bar.bar);
  return numbers;
}

std::vector<int> blocks_that_are(const std::vector<BlockPreview>& blocks, ReadingState state) {
  std::vector<int> numbers;
  for (const BlockPreview& block : blocks)
    if (block.state == state) numbers.push_back(block.block);
  return numbers;
}

bool one(const std::vector<int>& things) {
  return things.size() == 1;
}

void add_wrong_way_round(const Pack& pack, const ElectricalInput& input, std::vector<Advice>& all) {
  const std::vector<int> wrong = slots_that_are(input, WayRound::wrong);
  if (wrong.empty()) return;
  if (wrong.size() == static_cast<std::size_t>(pack.modules)) {
    all.push_back({Outcome::fix,
                   "every module stands the wrong way round: no bar joins like signs, but the "
                   "pack's plus and minus have changed places",
                   "check that slot 1 is where you said; else turn every module end for end"});
    return;
  }
  // A module that was moved by an odd number of slots needs no turn: the check tells which.
  all.push_back({Outcome::fix,
                 (one(wrong) ? "the module in " : "the modules in ") + listed("slot", wrong) +
                     (one(wrong) ? " stands" : " stand") + " the wrong way round",
                 std::string("before any bus bar is fitted, put ") + (one(wrong) ? "it" : "them") +
                     " right as the report of the check says, by a turn end for end or by a move "
                     "from another slot"});
}

void add_bars(const Preview& preview, std::vector<Advice>& all) {
  const std::vector<int> like = bars_that_are(preview.bars, Join::like);
  if (like.empty()) return;
  all.push_back({Outcome::fix, listed("bar", like) + " would join like signs",
                 one(like) ? "do not fit it" : "do not fit them"});
}

void add_not_known(const ElectricalInput& input, const Preview& preview, std::vector<Advice>& all) {
  const std::vector<int> unknown = slots_that_are(input, WayRound::not_known);
  if (unknown.empty()) return;
  all.push_back({Outcome::not_known,
                 (one(unknown) ? "the sign of " : "the signs of ") + listed("slot", unknown) +
                     (one(unknown) ? " is" : " are") + " not known, so nothing is said of " +
                     listed("bar", bars_that_are(preview.bars, Join::not_known)),
                 "look at the terminals yourself, or take the photos again"});
}

std::string reading_words(const BlockPreview& block) {
  const std::string must = fixed(block.meter.low, 2) + " to " + fixed(block.meter.high, 2) + " V";
  const std::string reads =
      block.reading.open ? "gives no steady reading" : "reads " + fixed(*block.reading.v, 3) + " V";
  return "block " + std::to_string(block.block) + " " + reads + "; it must read " + must;
}

void add_readings(const Preview& preview, std::vector<Advice>& all) {
  for (const BlockPreview& block : preview.blocks) {
    if (block.state != ReadingState::outside && block.state != ReadingState::open) continue;
    const bool leads = block.reading.v && holds(block.meter, -*block.reading.v);
    all.push_back({Outcome::fix, reading_words(block),
                   leads ? "measure again with the red lead on the tap that is to be positive; "
                           "if it stays, every module of the block stands the wrong way round"
                         : "find the cause before anything is connected to the pack"});
  }
}

void add_gaps(const ElectricalInput& input, const Preview& preview, std::vector<Advice>& all) {
  if (input.readings.empty()) return;
  const std::vector<int> missing = blocks_that_are(preview.blocks, ReadingState::not_measured);
  if (missing.empty()) return;
  all.push_back({Outcome::not_known,
                 listed("block", missing) + (one(missing) ? " was" : " were") + " not measured",
                 one(missing) ? "measure it" : "measure them"});
}

// A module that was seen the wrong way round must show at the meter once its block is joined.
void add_disagreement(const ElectricalInput& input, const Preview& preview,
                      std::vector<Advice>& all) {
  std::vector<int> blocks;
  for (const BlockPreview& block : preview.blocks) {
    bool wrong = false;
    for (const int slot : block.slots)
      wrong =
          wrong || input.stacked[static_cast<std::size_t>(slot - 1)].way_round == WayRound::wrong;
    if (wrong && block.state == ReadingState::within) blocks.push_back(block.block);
  }
  if (blocks.empty()) return;
  all.push_back({Outcome::fix,
                 "the photos show a module the wrong way round in " + listed("block", blocks) +
                     ", the meter does not",
                 "check that photos and readings are of this stack as it stands now"});
}

}  // namespace

std::vector<Advice> advice_for(const Pack& pack, const ElectricalInput& input,
                               const Preview& preview) {
  std::vector<Advice> all;
  add_wrong_way_round(pack, input, all);
  add_bars(preview, all);
  add_disagreement(input, preview, all);
  add_readings(preview, all);
  add_not_known(input, preview, all);
  add_gaps(input, preview, all);
  return all;
}

}  // namespace plumbstack
