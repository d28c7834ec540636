// One photo can't serve two sides, and what the first photo of a stack showed need no longer be so
// when the last was taken.
#include <algorithm>
#include <chrono>
#include <cstdio>

#include "rules.hpp"

namespace plumbstack {
namespace {

using Time = std::chrono::sys_seconds;

constexpr std::chrono::minutes kOneSitting{30};

// The camera's own clock, its zone left out: all photos of a stack are of one place. A clock that
// was never set (a year 0 or a month 0) tells nothing.
std::optional<Time> time_of(const Shot& shot) {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0;
  if (!shot.taken_at || std::sscanf(shot.taken_at->c_str(), "%4d:%2d:%2d %2d:%2d:%2d", &year,
                                    &month, &day, &hour, &minute, &second) != 6)
    return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day))};
  if (year < 1 || !date.ok()) return std::nullopt;
  return std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute) +
         std::chrono::seconds(second);
}

std::vector<Finding> reused(const std::vector<SideEvidence>& sides) {
  std::vector<Finding> found;
  for (std::size_t a = 0; a < sides.size(); ++a)
    for (std::size_t b = a + 1; b < sides.size(); ++b)
      if (!sides[a].shot.sha256.empty() && sides[a].shot.sha256 == sides[b].shot.sha256)
        found.push_back({"photo.reused",
                         Severity::retake,
                         "",
                         {},
                         "the photo of side " + sides[b].side + " is the one of side " +
                             sides[a].side + " again",
                         "photograph each side by itself"});
  return found;
}

std::vector<Finding> apart(const std::vector<SideEvidence>& sides) {
  std::vector<std::pair<Time, const SideEvidence*>> taken;
  for (const SideEvidence& side : sides)
    if (const auto time = time_of(side.shot)) taken.emplace_back(*time, &side);
  if (taken.empty()) return {};
  const auto [first, last] = std::minmax_element(
      taken.begin(), taken.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  const auto between = std::chrono::duration_cast<std::chrono::minutes>(last->first - first->first);
  if (last->first - first->first <= kOneSitting) return {};
  return {{"photo.apart",
           Severity::note,
           "",
           {},
           "side " + first->second->side + " was photographed " + std::to_string(between.count()) +
               " minutes before side " + last->second->side,
           "make sure that no module was moved in between, or photograph all sides again"}};
}

}  // namespace

std::vector<Finding> compare_shots(const std::vector<SideEvidence>& sides) {
  std::vector<Finding> found = reused(sides);
  const std::vector<Finding> later = apart(sides);
  found.insert(found.end(), later.begin(), later.end());
  return found;
}

}  // namespace plumbstack
