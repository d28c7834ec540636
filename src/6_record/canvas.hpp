// A drawing surface over an 8-bit picture: smooth lines and real type (cairo), nothing of stacks.
#pragma once

#include <cairo.h>

#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

namespace plumbstack {

struct Ink {  // each 0..1
  double red = 0, green = 0, blue = 0, opacity = 1;
};

// Told apart without colour too: in grey they are dark, light, middle, bright and pale.
constexpr Ink kDark{0.07, 0.08, 0.09}, kLight{1, 1, 1}, kBlue{0, 0.36, 0.62},
    kOrange{1.0, 0.50, 0.10}, kYellow{0.96, 0.87, 0.24}, kSky{0.55, 0.80, 0.96},
    kPaper{0.93, 0.92, 0.90}, kGrey{0.55, 0.56, 0.57};

enum class Align { left, middle, right };

/// Where drawing coordinates lie on the picture: (a, b) is drawn at
/// origin + scale * (a * along + b * across), across being `along` turned clockwise by 90 degrees.
struct Placement {
  cv::Point2d origin{0, 0};  // px on the picture
  cv::Point2d along{1, 0};   // unit vector
  double scale = 1;          // px per drawing unit
};

class Canvas {
 public:
  /// @param bgra 8-bit, 4 channels; drawn on in place
  explicit Canvas(cv::Mat bgra);

  void place(const Placement& placement);

  void fill(const std::vector<cv::Point2d>& polygon, const Ink& ink);
  void fill(const cv::Rect2d& box, const Ink& ink, double radius = 0);
  void disc(cv::Point2d centre, double radius, const Ink& ink);
  /// @param dash length of dashes and of the gaps between them; 0 = unbroken
  void stroke(const std::vector<cv::Point2d>& points, bool closed, const Ink& ink, double width,
              double dash = 0);
  void stroke(const cv::Rect2d& box, const Ink& ink, double width, double dash = 0,
              double radius = 0);
  void ring(cv::Point2d centre, double radius, const Ink& ink, double width);
  /// Slanted stripes of two inks, as on a barrier.
  void stripes(const cv::Rect2d& box, const Ink& one, const Ink& two, double width);

  /// @param middle of the capital letters' height, at the end or middle that `align` names
  void text(const std::string& utf8, cv::Point2d middle, double size, const Ink& ink,
            Align align = Align::left, bool bold = true);
  double text_width(const std::string& utf8, double size, bool bold = true);
  /// Shortened with an ellipsis until it is no wider than `room`.
  std::string shortened(std::string utf8, double size, double room, bool bold = true);

  /// The picture as 8-bit BGR, in the memory of the one that was drawn on; ends the drawing.
  cv::Mat finished();

 private:
  struct Close {
    void operator()(cairo_t* c) const { cairo_destroy(c); }
    void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
  };
  void trace(const std::vector<cv::Point2d>& points, bool closed);
  void trace(const cv::Rect2d& box, double radius);
  void line(const Ink& ink, double width, double dash);
  void font(double size, bool bold);

  cv::Mat bgra_;
  std::unique_ptr<cairo_surface_t, Close> surface_;
  std::unique_ptr<cairo_t, Close> to_;
};

}  // namespace plumbstack
