// How far each strip sits along x, from everything on it that moves with the module.
#pragma once

#include <vector>

#include "strip_match.hpp"

namespace plumbstack {

struct Stagger {
  double mm = 0;        // off the robust line through the stack, positive to the right
  double sd = 0;        // standard deviation of that, mm
  double shift_mm = 0;  // the same before the line was taken off: in the view's x
  int way = 0;          // 0 or 1: strips of one way look alike; the other way is end for end
};

/// At least two strips. What a strip does not show leaves its rough shift and a wide deviation.
std::vector<Stagger> measure_stagger(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                     double strip_mm);

// The steps, each a function of values.

/// Class 0 or 1 of each strip, by which strips look alike; alternating where that can't be told.
std::vector<int> first_classes(const StripRows& rows, const std::vector<double>& shifts_mm,
                               const Windows& windows);

/// Where each strip lies and which way round, to about a sample: the shift at which all windows
/// together fit best, none of them with more weight than it usually has in its class.
struct Found {
  std::vector<double> shifts;  // mm
  std::vector<int> classes;
};
Found find_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                  const Windows& windows);

inline constexpr double kRoughReach = 10;  // mm: no strip is sought further off

/// Log likelihood of all windows together, a value a shift. No window counts for much more than
/// `usual`, what its class reaches there; windows overlap by half.
std::vector<double> together(const Scores& scores, const std::vector<double>& usual);

/// Of all that each strip's shift may be, the likeliest, and how far off it the others are.
struct Settled {
  double shift = 0;  // mm
  int way = 0;       // as Stagger::way
  double doubt = 0;  // mm: root of the mean square over what lies elsewhere
};
std::vector<Settled> settle_shifts(const StripRows& rows, const std::vector<RoughStrip>& strips,
                                   const Windows& windows, const Found& found);

/// What one part of one strip says of the strip's shift.
struct Reading {
  double mm = 0, sd = 0;
  bool valid = false;
};
/// A row a strip; columns: the windows, then what the weak windows of each third say together.
std::vector<std::vector<Reading>> read_windows(const StripRows& rows, const Found& found,
                                               const Windows& windows);

/// Strips' shifts from readings that may be wrong in part: those of one column may lie on a slant
/// of their own and scatter by more than they say.
struct Agreed {
  std::vector<double> shifts, sds;
};
Agreed agree(std::vector<std::vector<Reading>> readings, const std::vector<double>& start,
             const std::vector<double>& along);

/// By how much class 1 has to be moved so that both classes are measured from one zero, from the
/// ends' outlines and from both classes' lying on one line.
struct Offset {
  double mm = 0, sd = 0;
};
Offset class_offset(const StripRows& rows, const Found& found, const std::vector<double>& along,
                    double strip_mm);

}  // namespace plumbstack
