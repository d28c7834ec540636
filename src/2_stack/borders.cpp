// Borders are followed from the middle of the side outwards, station by station, so that neither a
// slant that the coarse view left nor a rod over one station loses them.
#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

constexpr int kStations = 13;
constexpr double kLeast = 0.22;  // height of the seam plane's averaged ridge

struct Hit {
  double y;
  double height;
};

std::vector<Hit> ridge_hits(const FaceMaps& maps, double from_x, double to_x) {
  const cv::Mat& plane = maps.plane(FacePlane::seam);
  const int a = std::clamp(static_cast<int>(maps.pixel_of({from_x, 0}).x), 0, plane.cols - 1);
  const int b = std::clamp(static_cast<int>(maps.pixel_of({to_x, 0}).x), a + 1, plane.cols);
  cv::Mat profile;
  cv::reduce(plane.colRange(a, b), profile, 1, cv::REDUCE_AVG, CV_32F);
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

const Hit* nearest(const std::vector<Hit>& hits, double y, double reach) {
  const Hit* best = nullptr;
  for (const Hit& h : hits)
    if (std::abs(h.y - y) < (best ? std::abs(best->y - y) : reach)) best = &h;
  return best;
}

void follow(const std::vector<std::vector<Hit>>& stations, const std::vector<double>& xs, int start,
            int step, double reach, Border& border) {
  double y = border.y, slope = 0, last_x = xs[static_cast<std::size_t>(start)];
  for (int s = start + step; s >= 0 && s < kStations; s += step) {
    const double x = xs[static_cast<std::size_t>(s)];
    const Hit* hit =
        nearest(stations[static_cast<std::size_t>(s)], y + slope * (x - last_x), reach);
    if (!hit) continue;
    slope = 0.5 * slope + 0.5 * (hit->y - y) / (x - last_x);
    y = hit->y, last_x = x;
    border.points.emplace_back(x, y);
  }
}

}  // namespace

std::vector<Border> follow_borders(const FaceMaps& maps, double strip, double pitch) {
  std::vector<std::vector<Hit>> stations;
  std::vector<double> xs;
  const double width = strip / (kStations + 1);
  int best = 0;
  for (int s = 0; s < kStations; ++s) {
    xs.push_back(strip * (s + 1) / (kStations + 1));
    stations.push_back(ridge_hits(maps, xs.back() - width * 0.45, xs.back() + width * 0.45));
    const auto central = [](int i) { return -std::abs(i - kStations / 2) * 0.3; };
    if (double(stations.back().size()) + central(s) >
        double(stations[static_cast<std::size_t>(best)].size()) + central(best))
      best = s;
  }
  std::vector<Border> borders;
  for (const Hit& hit : stations[static_cast<std::size_t>(best)]) {
    Border border{{{xs[static_cast<std::size_t>(best)], hit.y}}, hit.y};
    follow(stations, xs, best, 1, 0.18 * pitch, border);
    follow(stations, xs, best, -1, 0.18 * pitch, border);
    if (border.points.size() < 4) continue;  // a line of a few stations is print or a panel's edge
    const Line line = robust_line(border.points);
    border.y = line.at(strip / 2);
    borders.push_back(border);
  }
  std::sort(borders.begin(), borders.end(),
            [](const Border& a, const Border& b) { return a.y < b.y; });
  borders.erase(std::unique(borders.begin(), borders.end(),
                            [](const Border& a, const Border& b) { return b.y - a.y < 1.2; }),
                borders.end());
  return borders;
}

namespace {

double ridge_share(const FaceMaps& maps, FacePlane which, double x, double top, double bottom) {
  const cv::Mat& plane = maps.plane(which);
  const cv::Point2d a = maps.pixel_of({x - 14, top + 0.2 * (bottom - top)}),
                    b = maps.pixel_of({x + 14, bottom - 0.2 * (bottom - top)});
  const cv::Rect box = cv::Rect(cv::Point(a), cv::Point(b)) & cv::Rect({}, plane.size());
  if (box.width < 2 || box.height < 1) return 0;
  cv::Mat highest;
  cv::reduce(plane(box), highest, 1, cv::REDUCE_MAX);
  return cv::mean(highest)[0];
}

Interval interval_of(const FaceMaps& maps, double top, double bottom, double strip) {
  Interval interval;
  interval.top = top, interval.bottom = bottom;
  interval.end_evidence = std::max(ridge_share(maps, FacePlane::left_end, 0, top, bottom),
                                   ridge_share(maps, FacePlane::right_end, strip, top, bottom));
  return interval;
}

// The thickness as it appears in the maps' own scale, which the coarse view sets only roughly.
double apparent_thickness(const std::vector<Border>& borders, double thickness) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < borders.size(); ++i) {
    const double step = borders[i].y - borders[i - 1].y;
    if (step > 0.75 * thickness && step < 1.3 * thickness) steps.push_back(step);
  }
  return steps.size() < 3 ? thickness : median_of(steps);
}

}  // namespace

std::vector<Interval> module_intervals(const FaceMaps& maps, const std::vector<Border>& borders,
                                       double strip, const ModuleSize& size) {
  std::vector<Interval> found;
  const double thickness = apparent_thickness(borders, size.thickness);
  for (std::size_t i = 0; i + 1 < borders.size(); ++i) {
    const double from = borders[i].y, to = borders[i + 1].y, step = (to - from) / thickness;
    if (step < 0.7) continue;  // the space between two modules
    const int modules = std::max(1, static_cast<int>(std::lround(step)));
    if (std::abs(step - modules) > 0.28 * std::sqrt(double(modules))) continue;
    for (int m = 0; m < modules; ++m) {
      Interval interval = interval_of(maps, from + (to - from) * m / modules,
                                      from + (to - from) * (m + 1) / modules, strip);
      if (m == 0) interval.top_border = i;
      if (m + 1 == modules) interval.bottom_border = i + 1;
      found.push_back(interval);
    }
  }
  // End plates lie beyond: what has no ends of a module at the rim is none.
  constexpr double kEnds = 0.2;
  while (!found.empty() && found.front().end_evidence < kEnds) found.erase(found.begin());
  while (!found.empty() && found.back().end_evidence < kEnds) found.pop_back();
  return found;
}

EndPoint locate_end(const FaceMaps& maps, const Interval& strip, bool left, double near_x) {
  const cv::Mat& plane = maps.plane(left ? FacePlane::left_end : FacePlane::right_end);
  const double inset = 0.18 * (strip.bottom - strip.top);
  const cv::Point2d a = maps.pixel_of({near_x - 15, strip.top + inset}),
                    b = maps.pixel_of({near_x + 15, strip.bottom - inset});
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
  for (int x = std::max(0, at.x - 3); x <= std::min(profile.cols - 1, at.x + 3); ++x) {
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
