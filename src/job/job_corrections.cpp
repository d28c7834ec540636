// A mistyped figure must not void a pass for good, and nothing may be changed: so a correction is
// an entry of its own, and the state is worked out as if the right figures had been typed at once.
// It reaches figures only; what photos show is out of its reach.
#include <map>

#include "state_parts.hpp"

namespace plumbstack {

std::vector<JobEntry> with_corrections(std::vector<JobEntry> entries) {
  std::map<int, std::vector<double>> last;
  for (const JobEntry& entry : entries)
    if (const auto* one = std::get_if<FiguresCorrected>(&entry.fact))
      last[one->corrects] = one->figures;
  if (last.empty()) return entries;
  for (JobEntry& entry : entries) {
    if (auto* tick = std::get_if<LineTicked>(&entry.fact))
      if (const auto right = last.find(entry.place); right != last.end())
        tick->figures = right->second;
    if (auto* one = std::get_if<FiguresCorrected>(&entry.fact)) one->figures = last[one->corrects];
  }
  return entries;
}

int correction_of(const std::vector<JobEntry>& entries, int place) {
  int last = 0;
  for (const JobEntry& entry : entries)
    if (const auto* one = std::get_if<FiguresCorrected>(&entry.fact); one && one->corrects == place)
      last = entry.place;
  return last;
}

}  // namespace plumbstack
