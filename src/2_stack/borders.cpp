// Borders are followed from the middle of the side outwards, station by station, so that neither a
// slant that the coarse view left nor a rod over one station loses them. All borders slant about
// alike: the first slope comes from how the stations' profiles fit on each other, the next one from
// the border before.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr int kStations = 13;
constexpr double kLeast = 0.2;         // height of the seam plane's averaged ridge
constexpr double kReachPitches = 0.2;  // from where a border is expected to where it is found
constexpr double kEndReachMm = 8;      // an end is sought this near to the line of ends
constexpr double kApart = 1.8;         // mm; nearer lines are one border
constexpr double kSteepest = 0.3;      // slope of borders that the coarse view may leave

struct Hit {
  double y;
  double height;
};

struct Station {
  double x = 0;     // mm
  cv::Mat profile;  // of the seam plane, one row a cell
  std::vector<Hit> hits;
};

std::vector<Hit> hits_of(const FaceMaps& maps, const cv::Mat& profile) {
  std::vector<Hit> hits;
  for (int y = 2; y + 2 < profile.rows; ++y) {
    const float h = profile.at<float>(y), before = profile.at<float>(y - 1),
                after = profile.at<float>(y + 1);
    if (h < kLeast || h < before || h <= after || h < profile.at<float>(y - 2) ||
        h < profile.at<float>(y + 2))
      continue;
    const double bend = before - 2.0 * h + after;
    const double shift = bend < -1e-9 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0;
    hits.push_back({maps.stack_of({0, y + shift}).y, h});
  }
  return hits;
}

Station station_at(const FaceMaps& maps, double x, double half_width) {
  const cv::Mat& plane = maps.plane(FacePlane::seam);
  const int a =
      std::clamp(static_cast<int>(maps.pixel_of({x - half_width, 0}).x), 0, plane.cols - 1);
  const int b =
      std::clamp(static_cast<int>(maps.pixel_of({x + half_width, 0}).x), a + 1, plane.cols);
  Station station{x, {}, {}};
  cv::reduce(plane.colRange(a, b), station.profile, 1, cv::REDUCE_AVG, CV_32F);
  station.hits = hits_of(maps, station.profile);
  return station;
}

// The slope at which the profiles of neighbouring stations fit best.
double shared_slope(const FaceMaps& maps, const std::vector<Station>& stations, double pitch) {
  const double apart = stations[1].x - stations[0].x;
  const int rows = stations[0].profile.rows,
            reach = std::min(rows / 3, static_cast<int>(std::min(kSteepest * apart, 0.45 * pitch) *
                                                        maps.px_per_mm));
  double best = -1, slope = 0;
  for (int shift = -reach; shift <= reach; ++shift) {
    const cv::Range here(std::max(0, -shift), rows - std::max(0, shift)),
        there(std::max(0, shift), rows - std::max(0, -shift));
    double fit = 0;
    for (std::size_t s = 1; s < stations.size(); ++s)
      fit += stations[s - 1].profile.rowRange(here).dot(stations[s].profile.rowRange(there));
    if (fit > best) best = fit, slope = shift / maps.px_per_mm / apart;
  }
  return slope;
}

const Hit* nearest(const std::vector<Hit>& hits, double y, double reach) {
  const Hit* best = nullptr;
  for (const Hit& h : hits)
    if (std::abs(h.y - y) < (best ? std::abs(best->y - y) : reach)) best = &h;
  return best;
}

void follow(const std::vector<Station>& stations, int start, int step, double reach, double slope,
            Border& border) {
  double y = border.y, last_x = stations[static_cast<std::size_t>(start)].x;
  for (int s = start + step; s >= 0 && s < kStations; s += step) {
    const Station& station = stations[static_cast<std::size_t>(s)];
    const Hit* hit = nearest(station.hits, y + slope * (station.x - last_x), reach);
    if (!hit) continue;
    slope = 0.5 * slope + 0.5 * (hit->y - y) / (station.x - last_x);
    y = hit->y, last_x = station.x;
    border.points.emplace_back(last_x, y);
    border.strength += hit->height;
  }
}

// Stations by how many borders they show, central ones rather.
std::vector<int> best_first(const std::vector<Station>& stations) {
  const auto worth = [&](int i) {
    return double(stations[static_cast<std::size_t>(i)].hits.size()) -
           0.3 * std::abs(i - kStations / 2);
  };
  std::vector<int> order(stations.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return worth(a) > worth(b); });
  return order;
}

bool is_followed(const std::vector<Border>& borders, double x, double y) {
  return std::any_of(borders.begin(), borders.end(), [&](const Border& b) {
    return std::any_of(b.points.begin(), b.points.end(), [&](const cv::Point2d& p) {
      return std::abs(p.x - x) < 1e-6 && std::abs(p.y - y) < kApart;
    });
  });
}

}  // namespace

std::vector<Border> follow_borders(const FaceMaps& maps, double strip, double pitch) {
  std::vector<Station> stations;
  const double apart = strip / (kStations + 1);
  for (int s = 1; s <= kStations; ++s)
    stations.push_back(station_at(maps, s * apart, 0.45 * apart));
  double slope = shared_slope(maps, stations, pitch);
  std::vector<Border> borders;
  // What lies over a border at one station does not hide it at all of them.
  for (const int start : best_first(stations)) {
    const Station& from = stations[static_cast<std::size_t>(start)];
    for (const Hit& hit : from.hits) {
      if (is_followed(borders, from.x, hit.y)) continue;
      Border border{{{from.x, hit.y}}, hit.y, hit.height};
      follow(stations, start, 1, kReachPitches * pitch, slope, border);
      follow(stations, start, -1, kReachPitches * pitch, slope, border);
      if (border.points.size() < 4)
        continue;  // a line of a few stations is print or a panel's edge
      const Line line = robust_line(border.points);
      border.y = line.at(strip / 2);
      border.strength /= kStations;
      if (border.points.size() > kStations / 2) slope = line.slope;
      borders.push_back(border);
    }
  }
  std::sort(borders.begin(), borders.end(),
            [](const Border& a, const Border& b) { return a.y < b.y; });
  borders.erase(std::unique(borders.begin(), borders.end(),
                            [](const Border& a, const Border& b) { return b.y - a.y < kApart; }),
                borders.end());
  return borders;
}

EndPoint locate_end(const FaceMaps& maps, const Interval& strip, bool left, double near_x) {
  const cv::Mat& plane = maps.plane(left ? FacePlane::left_end : FacePlane::right_end);
  const double inset = 0.18 * (strip.bottom - strip.top);
  const cv::Point2d a = maps.pixel_of({near_x - kEndReachMm, strip.top + inset}),
                    b = maps.pixel_of({near_x + kEndReachMm, strip.bottom - inset});
  const cv::Rect box = cv::Rect(cv::Point(a), cv::Point(b)) & cv::Rect({}, plane.size());
  EndPoint end;
  end.y = (strip.top + strip.bottom) / 2;
  if (box.width < 5 || box.height < 2) return end;
  cv::Mat profile;
  cv::reduce(plane(box), profile, 0, cv::REDUCE_AVG, CV_32F);
  double height = 0;
  cv::Point at;
  cv::minMaxLoc(profile, nullptr, &height, nullptr, &at);
  if (height < 0.12) return end;
  double sum = 0, moment = 0, second = 0;
  for (int x = std::max(0, at.x - 2); x <= std::min(profile.cols - 1, at.x + 2); ++x) {
    const double w = profile.at<float>(x);
    sum += w, moment += w * x, second += w * x * x;
  }
  const double mean = moment / sum, spread = std::sqrt(std::max(0.1, second / sum - mean * mean));
  end.x = maps.stack_of({box.x + mean, 0}).x;
  end.strength = height;
  // A low or broad ridge says less of where the edge is.
  end.sd = 0.12 + 0.1 * spread / maps.px_per_mm * (1 - height);
  return end;
}

}  // namespace plumbstack
