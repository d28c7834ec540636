#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

Result<FaceMaps> look_at_side(const Photo& photo, const PlaneView& view, cv::Size2d side,
                              double pitch, Nets& nets, const FindStackOptions& options) {
  const double margin_y = options.margin_y_pitches * pitch;
  cv::Rect2d region(-options.margin_x_mm, -margin_y, side.width + 2 * options.margin_x_mm,
                    side.height + 2 * margin_y);
  const double scale =
      std::min(options.px_per_mm, std::sqrt(options.max_raster_mpx * 1e6 / region.area()));
  // The network's input is a multiple of 32 px each way.
  const auto rounded = [&](double mm) { return std::ceil(mm * scale / 32) * 32 / scale; };
  region.width = rounded(region.width), region.height = rounded(region.height);
  const cv::Mat raster = rectify(photo.pixels, view, region, scale);
  Result<std::vector<cv::Mat>> planes = run_planes(nets.face, raster);
  if (!planes) return tl::unexpected<Error>(planes.error());
  FaceMaps maps;
  maps.px_per_mm = scale / 2;
  maps.origin_mm =
      region.tl() + cv::Point2d(0.5, 0.5) / scale;  // cell j lies at raster pixel 2 j + 0.5
  maps.planes = std::move(*planes);
  // Sizes of writing were learnt at one scale.
  for (FacePlane size : {FacePlane::text_length, FacePlane::text_height})
    maps.planes[static_cast<std::size_t>(size)] *= options.px_per_mm / scale;
  return maps;
}

struct Fitted {
  PlaneView view;
  cv::Matx<double, 8, 8> covariance;
  std::vector<Interval> strips;
  std::vector<Border> borders;
};

// Where each border should be: thickness and pitch of the pack, opened by the gaps that are seen.
std::vector<LinePoint> line_points(const FaceMaps& maps, const PlaneView& view, const Fitted& fit,
                                   double strip, const ModuleSize& size) {
  std::vector<LinePoint> points;
  double top = 0;
  const double apparent = median_of([&] {
    std::vector<double> steps;
    for (const Interval& s : fit.strips) steps.push_back(s.bottom - s.top);
    return steps;
  }());
  for (std::size_t i = 0; i < fit.strips.size(); ++i) {
    const Interval& s = fit.strips[i];
    const auto add = [&](const std::optional<std::size_t>& border, double target) {
      if (border)
        for (const cv::Point2d& p : fit.borders[*border].points)
          points.push_back({view.to_photo(p), false, target, 1});
    };
    add(s.top_border, top), add(s.bottom_border, top + size.thickness);
    for (const bool left : {true, false}) {
      const EndPoint end = locate_end(maps, s, left, left ? 0 : strip);
      if (end.strength > 0)
        points.push_back({view.to_photo({end.x, end.y}), true, left ? 0 : strip, 3 * end.strength});
    }
    if (i + 1 < fit.strips.size())
      top += size.thickness + (fit.strips[i + 1].top - s.bottom) * size.thickness / apparent;
  }
  return points;
}

std::optional<Fitted> fit_side(const FaceMaps& maps, const PlaneView& view, double strip,
                               const ModuleSize& size) {
  Fitted fit;
  fit.borders = follow_borders(maps, strip, size.pitch);
  fit.strips = module_intervals(maps, fit.borders, strip, size);
  if (fit.strips.size() < 2) return std::nullopt;
  const std::vector<LinePoint> points = line_points(maps, view, fit, strip, size);
  if (std::count_if(points.begin(), points.end(), [](const LinePoint& p) { return p.along_x; }) < 4)
    return std::nullopt;
  fit.view = fit_plane(points, view, fit.covariance);
  return fit;
}

// Strips that must lie beyond the photo's frame, so that they are named as not seen.
void add_cut_off(StackFrame& frame, const Pack& pack, double strip, cv::Size photo) {
  const auto beyond = [&](double top) {
    const cv::Point2d p = frame.view.to_photo({strip / 2, top + pack.module_mm.thickness});
    const cv::Point2d q = frame.view.to_photo({strip / 2, top});
    const cv::Rect2d inside(0, 0, photo.width, photo.height);
    return !inside.contains(p) || !inside.contains(q);
  };
  const auto missing = [&](double top) {
    StripPlace s;
    s.top_mm = top, s.bottom_mm = top + pack.module_mm.thickness, s.right_mm = strip,
    s.in_photo = false;
    return s;
  };
  while (static_cast<int>(frame.strips.size()) < pack.modules) {
    const double above = frame.strips.front().top_mm - pack.module_mm.pitch,
                 below = frame.strips.back().top_mm + pack.module_mm.pitch;
    if (beyond(above))
      frame.strips.insert(frame.strips.begin(), missing(above));
    else if (beyond(below))
      frame.strips.push_back(missing(below));
    else
      break;
  }
}

}  // namespace

Result<std::optional<FoundStack>> find_stack(const Photo& photo, const Pack& pack, const Side& side,
                                             Nets& nets, const FindStackOptions& options) {
  double scale = 1;
  cv::Point2d shift;
  Result<std::vector<cv::Mat>> planes =
      run_planes(nets.finder, letterboxed(photo.pixels, scale, shift));
  if (!planes) return tl::unexpected<Error>(planes.error());
  cv::Size2d size(side.strip_mm, pack.modules * pack.module_mm.pitch);
  const std::optional<Coarse> coarse = read_coarse(*planes, photo, size, scale, shift, options);
  if (!coarse) return std::optional<FoundStack>{};
  PlaneView view = coarse->view;
  PlaneView maps_view = view;
  FaceMaps maps;
  std::optional<Fitted> fit;
  for (int look = 0; look < 2; ++look) {
    Result<FaceMaps> seen = look_at_side(photo, view, size, pack.module_mm.pitch, nets, options);
    if (!seen) return tl::unexpected<Error>(seen.error());
    const std::optional<Fitted> better = fit_side(*seen, view, side.strip_mm, pack.module_mm);
    if (!better) break;
    maps = std::move(*seen), fit = better, maps_view = view;
    double moved = 0;
    for (const cv::Point2d& corner :
         {cv::Point2d(0, 0), cv::Point2d(size.width, 0), cv::Point2d(0, size.height),
          cv::Point2d(size.width, size.height)})
      moved = std::max(moved, cv::norm(better->view.to_stack(view.to_photo(corner)) - corner));
    if (look == 1 || moved < options.look_again_mm) break;
    view = better->view;
    size.height = std::max(2, static_cast<int>(fit->strips.size())) * pack.module_mm.pitch;
  }
  if (!fit) return std::optional<FoundStack>{};
  FoundStack found;
  found.frame.view = fit->view;
  found.frame.lying = coarse->lying;
  found.frame.confidence = coarse->confidence;
  found.frame.covariance = fit->covariance;
  found.frame.strips = place_strips(maps, maps_view, fit->view, fit->strips, fit->borders,
                                    side.strip_mm, pack.module_mm, photo.pixels);
  add_cut_off(found.frame, pack, side.strip_mm, photo.pixels.size());
  found.maps = std::move(maps);
  return std::optional<FoundStack>(std::move(found));
}

}  // namespace plumbstack
