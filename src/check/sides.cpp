#include <algorithm>
#include <set>

#include "parts.hpp"

namespace plumbstack {
namespace {

int kinds_of(const Side& s) {
  return (s.number ? 1 : 0) + (s.vent ? 2 : 0) + (s.sign ? 4 : 0);
}

// Share of the strips on which a plane has a peak.
double share_with(const FaceMaps& maps, const StackFrame& frame,
                  std::initializer_list<FacePlane> planes) {
  int with = 0;
  for (const StripPlace& s : frame.strips) {
    double highest = 0;
    for (FacePlane plane : planes) {
      const cv::Point2d a = maps.pixel_of({s.left_mm, s.top_mm}),
                        b = maps.pixel_of({s.right_mm, s.bottom_mm});
      const cv::Rect box =
          cv::Rect(cv::Point(a), cv::Point(b)) & cv::Rect({}, maps.plane(plane).size());
      double top = 0;
      if (!box.empty()) cv::minMaxLoc(maps.plane(plane)(box), nullptr, &top);
      highest = std::max(highest, top);
    }
    with += highest > 0.4;
  }
  return double(with) / double(std::max<std::size_t>(1, frame.strips.size()));
}

}  // namespace

Result<std::vector<std::string>> asked_sides(const Pack& pack,
                                             const std::vector<PhotoRequest>& requests) {
  std::vector<std::string> sides;
  std::set<std::string> taken;
  for (const PhotoRequest& request : requests) {
    const std::string file = request.file.string();
    if (!request.side.empty()) {
      if (!pack.side(request.side)) {
        std::string names;
        for (const Side& s : pack.sides) names += (names.empty() ? "" : ", ") + s.name;
        return fail(ErrorCode::side_unknown,
                    "the pack has no side " + request.side + "; it has " + names, file);
      }
      if (!taken.insert(request.side).second)
        return fail(ErrorCode::side_twice,
                    "a second photo for side " + request.side + "; give one for each side", file);
    } else {
      std::set<int> kinds;
      for (const Side& s : pack.sides)
        if (!kinds.insert(kinds_of(s)).second)
          return fail(
              ErrorCode::side_ambiguous,
              "name its side (SIDE=" + file + "): two sides of this pack show the same marks",
              file);
    }
    sides.push_back(request.side);
  }
  if (requests.size() > pack.sides.size())
    return fail(ErrorCode::side_twice, "more photos than the pack has sides",
                requests.back().file.string());
  return sides;
}

std::string side_by_marks(const Pack& pack, const FaceMaps& maps, const StackFrame& frame,
                          const std::vector<std::string>& taken) {
  const double number =
      share_with(maps, frame,
                 {FacePlane::text_0, FacePlane::text_90, FacePlane::text_180, FacePlane::text_270});
  const double vent = share_with(maps, frame, {FacePlane::vent}),
               sign = share_with(maps, frame, {FacePlane::plus, FacePlane::minus});
  std::string best;
  double least = 1e9;
  for (const Side& side : pack.sides) {
    if (std::find(taken.begin(), taken.end(), side.name) != taken.end()) continue;
    const double differs = std::abs(number - (side.number ? 1 : 0)) +
                           std::abs(vent - (side.vent ? 1 : 0)) +
                           std::abs(sign - (side.sign ? 1 : 0));
    if (differs < least) least = differs, best = side.name;
  }
  return best;
}

}  // namespace plumbstack
