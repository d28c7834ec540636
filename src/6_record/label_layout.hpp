// Where the labels of a picture go: slot numbers and tags beyond one end of the strips, readings
// beyond the other, so that nothing lies on the marks. Pure geometry; draws nothing.
//
//   text frame   a along the strips in reading direction (to the right, or upwards where the stack
//                lies), b across it; px of the photo, origin at the middle of the strips.
//
//       tag --- slot | strip............ | reading
//       tag --- slot | strip............ | reading          a ->, b downwards
#pragma once

#include <vector>

#include "canvas.hpp"
#include "slot_views.hpp"

namespace plumbstack {

/// A line through the strips' ends, clear of what sticks out of them: a = at + slope * b.
struct Lane {
  double at = 0;
  double slope = 0;
  double a(double b) const { return at + slope * b; }
};

struct TextFrame {
  cv::Point2d origin_in_photo;
  cv::Point2d along{1, 0};  // unit vector in the photo
  cv::Point2d from_photo(cv::Point2d point) const;
  cv::Point2d to_photo(cv::Point2d point) const;
};

/// One tag for a run of neighbouring slots that carry the same words.
struct Tag {
  std::size_t first = 0, last = 0;  // indices of views
  Standing standing = Standing::good;
  std::string text;
  double b = 0;  // of its middle, once placed
};

/// Widths in units of the label's letter size, as measured by the caller.
struct LabelWidths {
  double slot = 2;
  double reading = 6;
  double tag = 0;  // of the widest tag, in tag letter sizes; 0 = no tags
};

struct LabelLayout {
  TextFrame frame;
  double letters = 0;      // letter size of slot numbers and readings, px of the photo
  double tag_letters = 0;  // of tags
  std::size_t every = 1;   // of the good slots only every n-th is numbered, where strips are thin
  Lane left, right;        // near ends of the two label columns
  std::vector<double> left_b, right_b;  // per view: its middle at either end
  std::vector<Tag> tags;                // placed, in ascending b
  double photo_scale = 1;               // canvas px per photo px; under 1 where labels need room
  cv::Point2d photo_at;                 // canvas px of the photo's first pixel
};

std::vector<Tag> tags_of(const std::vector<SlotView>& views);

/// @param views with faces, in order
/// @param size of photo and canvas alike, px
/// @param banner height kept clear at the top, px of the canvas
LabelLayout lay_out(const std::vector<SlotView>& views, const LabelWidths& widths, cv::Size photo,
                    cv::Size canvas, double banner, double stick_out_px);

/// Positions as near as possible (least squares) to those wanted, in the same order, at least
/// `apart` from one another.
std::vector<double> spread(const std::vector<double>& wanted, double apart);

}  // namespace plumbstack
