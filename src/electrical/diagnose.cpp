// Meter readings -> which faults account for all of them. One fault if one is enough, else two. A
// fault that accounts for everything must change the first block that is off; of two, one must, and
// the other must change the first that is then still off: so no pair is missed, and few are tried.
#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "faults.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kMostPairs = 20'000'000;  // tried: some seconds
constexpr std::size_t kMostCandidates = 5'000;  // kept

class Search {
 public:
  /// @param off blocks to be accounted for, ascending; @param alone looks at nothing but these
  Search(const FaultModel& model, std::vector<int> off, bool alone)
      : model_(model), off_(std::move(off)), alone_(alone) {}

  std::set<Faults> run() {
    singles();
    if (found_.empty()) pairs();
    return found_;
  }
  bool cut_short() const { return cut_short_; }

 private:
  // The first block that is off with these faults; 0 = none.
  int first_off(const Faults& faults) const {
    const std::vector<int> touched = model_.touched(faults);
    int first = 0;
    const auto look = [&](int block) {
      if (!model_.fits(faults, block) && (first == 0 || block < first)) first = block;
    };
    for (const int block : off_) look(block);
    for (const int block : touched) look(block);
    return first;
  }

  void singles() {
    for (const Fault& fault : model_.touching(off_.front(), !alone_))
      if (first_off({fault}) == 0) found_.insert({fault});
  }

  void pairs() {
    std::map<int, Faults> second;  // by the block that they change
    std::size_t tried = 0;
    for (const Fault& one : model_.touching(off_.front(), !alone_)) {
      const int rest = first_off({one});
      auto at = second.find(rest);
      if (at == second.end()) at = second.emplace(rest, model_.touching(rest, !alone_)).first;
      for (const Fault& two : at->second) {
        if (++tried > kMostPairs || found_.size() >= kMostCandidates) {
          cut_short_ = true;
          return;
        }
        if (!model_.can_stand_together(one, two)) continue;
        Faults both{one, two};
        std::sort(both.begin(), both.end());
        if (first_off(both) == 0) found_.insert(std::move(both));
      }
    }
  }

  const FaultModel& model_;
  std::vector<int> off_;
  bool alone_;
  std::set<Faults> found_;
  bool cut_short_ = false;
};

// Alike but for the slots.
std::vector<std::tuple<FaultKind, int, int, int>> kind_of(const Faults& faults) {
  std::vector<std::tuple<FaultKind, int, int, int>> kind;
  for (const Fault& f : faults) kind.emplace_back(f.kind, f.block, f.other_block, f.cells);
  return kind;
}

std::vector<Explanation> grouped(const FaultModel& model, const std::set<Faults>& found) {
  std::map<std::pair<bool, std::vector<std::tuple<FaultKind, int, int, int>>>, Explanation> groups;
  for (const Faults& faults : found) {
    const bool against = model.against_what_was_seen(faults);
    const double misfit = model.misfit(faults);
    Explanation& group = groups[{against, kind_of(faults)}];
    group.against_signs = against;
    group.misfit = group.candidates.empty() ? misfit : std::min(group.misfit, misfit);
    group.candidates.push_back(faults);
  }
  std::vector<Explanation> all;
  for (auto& [key, group] : groups) {
    group.faults = group.candidates.front();
    all.push_back(std::move(group));
  }
  std::stable_sort(all.begin(), all.end(), [](const Explanation& a, const Explanation& b) {
    return std::tuple(a.against_signs, a.faults.size(), a.misfit) <
           std::tuple(b.against_signs, b.faults.size(), b.misfit);
  });
  return all;
}

// The modules that were seen the wrong way round, in these blocks.
Faults seen_wrong(const ElectricalInput& input, const std::vector<BlockPreview>& blocks) {
  Faults faults;
  for (const BlockPreview& block : blocks)
    for (const int slot : block.slots)
      if (input.stacked[static_cast<std::size_t>(slot - 1)].way_round == WayRound::wrong)
        faults.push_back({FaultKind::turned, block.block, 0, 0, {slot}});
  return faults;
}

bool accounts_for_all(const FaultModel& model, const Faults& faults,
                      const std::vector<BlockPreview>& blocks) {
  return !faults.empty() && std::all_of(blocks.begin(), blocks.end(), [&](const auto& block) {
    return model.fits(faults, block.block);
  });
}

void each_block_alone(const FaultModel& model, const ElectricalInput& input,
                      const std::vector<BlockPreview>& blocks, const std::vector<int>& off,
                      Diagnosis& diagnosis) {
  for (const int block : off) {
    const std::vector<BlockPreview> here{blocks[static_cast<std::size_t>(block - 1)]};
    Search search(model, {block}, true);
    std::set<Faults> found = search.run();
    const Faults seen = seen_wrong(input, here);
    if (accounts_for_all(model, seen, here)) found.insert(seen);
    for (Explanation& one : grouped(model, found)) diagnosis.explanations.push_back(std::move(one));
    if (found.empty()) diagnosis.unexplained_blocks.push_back(block);
    diagnosis.cut_short = diagnosis.cut_short || search.cut_short();
  }
  const bool any = !diagnosis.explanations.empty();
  diagnosis.state = any ? DiagnosisState::explained_by_block : DiagnosisState::not_explained;
}

}  // namespace

Diagnosis diagnose(const Pack& pack, const ElectricalInput& input,
                   const std::vector<BlockPreview>& blocks) {
  Diagnosis diagnosis;
  if (input.readings.empty()) return diagnosis;
  diagnosis.state = DiagnosisState::all_within;
  std::vector<int> off;
  for (const BlockPreview& block : blocks)
    if (block.state == ReadingState::outside || block.state == ReadingState::open)
      off.push_back(block.block);
  if (off.empty()) return diagnosis;

  const FaultModel model(pack, input);
  Search search(model, off, false);
  std::set<Faults> found = search.run();
  const Faults seen = seen_wrong(input, blocks);
  if (accounts_for_all(model, seen, blocks)) found.insert(seen);
  diagnosis.state = DiagnosisState::explained;
  diagnosis.explanations = grouped(model, found);
  diagnosis.cut_short = search.cut_short();
  if (found.empty()) each_block_alone(model, input, blocks, off, diagnosis);
  return diagnosis;
}

}  // namespace plumbstack
