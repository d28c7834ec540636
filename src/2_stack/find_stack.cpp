#include <algorithm>
#include <cmath>

#include "line_fit.hpp"
#include "parts.hpp"

namespace plumbstack {

Result<Look> look_at_side(const Photo& photo, const PlaneView& view, cv::Size2d side, double pitch,
                          Nets& nets, const FindStackOptions& options) {
  const double margin_y = options.margin_y_pitches * pitch;
  cv::Rect2d region(-options.margin_x_mm, -margin_y, side.width + 2 * options.margin_x_mm,
                    side.height + 2 * margin_y);
  // Nothing is to be seen beyond the photo.
  const auto outside = [&](double y) {
    const cv::Rect2d inside(0, 0, photo.pixels.cols, photo.pixels.rows);
    return !inside.contains(view.to_photo({0, y})) &&
           !inside.contains(view.to_photo({side.width / 2, y})) &&
           !inside.contains(view.to_photo({side.width, y}));
  };
  while (region.height > 6 * pitch && outside(region.y + pitch))
    region.y += pitch, region.height -= pitch;
  while (region.height > 6 * pitch && outside(region.br().y - pitch)) region.height -= pitch;
  const double scale =
      std::min(options.px_per_mm, std::sqrt(options.max_raster_mpx * 1e6 / region.area()));
  // The network's input is a multiple of 32 px each way.
  const auto rounded = [&](double mm) { return std::ceil(mm * scale / 32) * 32 / scale; };
  region.width = rounded(region.width), region.height = rounded(region.height);
  Look look{{rectify(photo.pixels, view, region, scale), region.tl(), scale}, {}};
  Result<std::vector<cv::Mat>> planes = run_planes(nets.face, look.raster.pixels);
  if (!planes) return tl::unexpected<Error>(planes.error());
  FaceMaps& maps = look.maps;
  maps.px_per_mm = scale / 2;
  maps.origin_mm =
      region.tl() + cv::Point2d(0.5, 0.5) / scale;  // cell j lies at raster pixel 2 j + 0.5
  maps.planes = std::move(*planes);
  // Sizes of writing were learnt at one scale.
  for (FacePlane size : {FacePlane::text_length, FacePlane::text_height})
    maps.planes[static_cast<std::size_t>(size)] *= options.px_per_mm / scale;
  return look;
}

namespace {

struct Fitted {
  PlaneView view;
  cv::Matx<double, 8, 8> covariance;
  std::vector<Interval> strips;
  std::vector<Border> borders;
  EndLine left, right;
  double count_confidence = 0;
  double evidence = 0;  // for all strips together, to compare views of one photo by
};

constexpr double kKeep = 0.02;  // weight of the view at hand against what is seen

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
      const double y = (s.top + s.bottom) / 2, target = left ? 0 : strip;
      const EndPoint end = locate_end(maps, s, left, (left ? fit.left : fit.right).line.at(y));
      if (end.strength > 0)
        points.push_back({view.to_photo({end.x, end.y}), true, target, 3 * end.strength});
      // Where an end is not seen at all, the view keeps what it had.
      points.push_back({view.to_photo({target, y}), true, target, kKeep, false});
    }
    if (i + 1 < fit.strips.size())
      top += size.thickness + (fit.strips[i + 1].top - s.bottom) * size.thickness / apparent;
  }
  return points;
}

struct Seen {
  FaceMaps maps;
  PlaneView view;  // by which the maps were made
  Fitted fit;
};

// Whether the view shows the side at some possible size, and not mirrored, at its middle and
// corners.
bool is_sane(const PlaneView& view, double strip, double axis) {
  constexpr double kLeast = 0.05, kMost = 200;  // px per mm
  if (!(cv::determinant(view.photo_from_stack) > 0)) return false;
  for (const cv::Point2d& p :
       {cv::Point2d(strip / 2, axis / 2), cv::Point2d(0, 0), cv::Point2d(strip, 0),
        cv::Point2d(0, axis), cv::Point2d(strip, axis)}) {
    const cv::Point2d scale = view.px_per_mm(p);
    if (!(scale.x > kLeast && scale.x < kMost && scale.y > kLeast && scale.y < kMost)) return false;
  }
  return true;
}

// Whether the fitted view shows the strips one after another, each about as thick as a module.
bool strips_fit(const Fitted& fit, const PlaneView& maps_view, double strip, double thickness) {
  const auto carried = [&](double y) {
    return fit.view.to_stack(maps_view.to_photo({strip / 2, y})).y;
  };
  double last = -1e9;
  return std::all_of(fit.strips.begin(), fit.strips.end(), [&](const Interval& one) {
    const double top = carried(one.top), bottom = carried(one.bottom), thick = bottom - top;
    const bool fits =
        top >= last - 0.3 * thickness && thick > 0.5 * thickness && thick < 1.7 * thickness;
    last = bottom;
    return fits;
  });
}

std::optional<Fitted> fit_side(const Look& look, const PlaneView& view, double strip,
                               const ModuleSize& size, int modules) {
  const FaceMaps& maps = look.maps;
  Fitted fit;
  fit.borders = follow_borders(maps, strip, size.pitch);
  ModuleChain chain = module_chain(maps, look.raster, fit.borders, strip, size);
  fit.strips = std::move(chain.strips), fit.left = chain.left, fit.right = chain.right;
  fit.count_confidence = trim_chain(fit.strips, modules);
  if (fit.strips.size() < 2) return std::nullopt;
  for (const Interval& one : fit.strips) fit.evidence += one.evidence;
  const std::vector<LinePoint> points = line_points(maps, view, fit, strip, size);
  fit.view = fit_plane(points, view, fit.covariance);
  if (!is_sane(fit.view, strip, fit.strips.back().bottom - fit.strips.front().top) ||
      !strips_fit(fit, view, strip, size.thickness))
    return std::nullopt;
  return fit;
}

// How far the side's corners went from one view to another, but for where along the axis it starts.
double moved_mm(const PlaneView& from, const PlaneView& to, cv::Size2d side) {
  std::vector<cv::Point2d> went;
  for (const cv::Point2d& corner :
       {cv::Point2d(0, 0), cv::Point2d(side.width, 0), cv::Point2d(0, side.height),
        cv::Point2d(side.width, side.height)})
    went.push_back(to.to_stack(from.to_photo(corner)) - corner);
  double most = 0;
  for (const cv::Point2d& w : went)
    most = std::max(most, std::hypot(w.x, w.y - (went[0].y + went[1].y) / 2));
  return most;
}

// The same view with its origin moved along the axis.
PlaneView moved_along(PlaneView view, double mm) {
  view.photo_from_stack = view.photo_from_stack * cv::Matx33d(1, 0, 0, 0, 1, mm, 0, 0, 1);
  return view;
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
  cv::Size2d size(side.strip_mm, pack.modules * pack.module_mm.pitch);
  Result<std::vector<cv::Mat>> planes =
      run_planes(nets.finder, letterboxed(photo.pixels, scale, shift));
  if (!planes) return tl::unexpected<Error>(planes.error());
  const std::optional<Coarse> coarse = read_coarse(*planes, photo, size, scale, shift, options);
  if (!coarse) return std::optional<FoundStack>{};
  const auto see = [&](const PlaneView& view) -> Result<std::optional<Seen>> {
    Result<Look> look = look_at_side(photo, view, size, pack.module_mm.pitch, nets, options);
    if (!look) return tl::unexpected<Error>(look.error());
    std::optional<Fitted> fit = fit_side(*look, view, side.strip_mm, pack.module_mm, pack.modules);
    if (!fit) return std::optional<Seen>{};
    return std::optional<Seen>(Seen{std::move(look->maps), view, std::move(*fit)});
  };
  std::optional<Seen> best;
  for (const PlaneView& view : metric_views(photo, coarse->view, size)) {
    Result<std::optional<Seen>> seen = see(view);
    if (!seen) return tl::unexpected<Error>(seen.error());
    if (*seen && (!best || (*seen)->fit.evidence > best->fit.evidence)) best = std::move(*seen);
  }
  if (!best) return std::optional<FoundStack>{};
  for (int look = 1; look < options.most_looks; ++look) {
    const auto counted = static_cast<double>(best->fit.strips.size());
    const bool short_of_some = look == 1 && counted < pack.modules;
    if (moved_mm(best->view, best->fit.view, size) < options.look_again_mm && !short_of_some) break;
    // Where some are missing they may be at either end: the next look goes that much further.
    const double missing = std::max(0.0, pack.modules - counted) * pack.module_mm.pitch;
    size.height = counted * pack.module_mm.pitch + 2 * missing;
    Result<std::optional<Seen>> again = see(moved_along(best->fit.view, -missing));
    if (!again) return tl::unexpected<Error>(again.error());
    if (!*again) break;
    best = std::move(*again);
  }
  const Fitted& fit = best->fit;
  // Borders and ends that are hardly seen: strips laid over something else than the modules.
  if (fit.evidence < options.least_evidence * static_cast<double>(fit.strips.size()))
    return std::optional<FoundStack>{};
  FoundStack found;
  found.frame.view = fit.view;
  found.frame.lying = coarse->lying;
  found.frame.confidence = coarse->confidence;
  found.frame.count_confidence = fit.count_confidence;
  found.frame.covariance = fit.covariance;
  found.frame.strips = place_strips(best->maps, best->view, fit.view, fit.strips, side.strip_mm,
                                    pack.module_mm, photo.pixels);
  add_cut_off(found.frame, pack, side.strip_mm, photo.pixels.size());
  found.maps = carried(best->maps, best->view, fit.view);
  return std::optional<FoundStack>(std::move(found));
}

}  // namespace plumbstack
