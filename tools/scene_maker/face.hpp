// The photographed side as a drawing in millimetres: every module's moulded face, marks and
// writing.
#pragma once

#include <functional>
#include <opencv2/core.hpp>
#include <optional>

#include "dice.hpp"
#include "plan.hpp"
#include "relief.hpp"

namespace scene {

/// Mask of upright writing, CV_8U, tight around the ink, about `height_px` tall.
using DrawText = std::function<cv::Mat(const std::string& text, double height_px)>;

enum class VentStyle { tube, elbow, ring, grille, plate };
enum class SignStyle { moulded, printed, bare_moulded, bare_printed };

struct Plates {  // the two end castings; one choice for both
  cv::Scalar color;
  double thick = 10, over = 0, rise = 0;  // mm; rise above the faces
  double gap[2] = {0, 0};                 // mm to the first and last strip
  double rib_pitch = 10;
  bool ribs = false;
  bool like_modules = false;  // moulded as the modules are, flush with their faces
  double block = 0;           // mm, width of the blocks on its corners that hold the rods; 0 = none
  cv::Scalar block_color;
};

struct Tray {  // what some stacks stand in; walls round the side
  cv::Scalar color;
  double gap = 3, wall = 4, rise = 0;  // mm; rise above the faces
};

struct Port {           // a round opening on each module that is no vent: sensor or hose connection
  double inward = 20;   // mm from the vent towards the middle of the strip
  double radius = 2.5;  // mm, of the opening
  double collar = 4;    // mm, of the ring round it
  bool bracket = false;
};

/// Everything the modules of one stack have in common to look at.
struct Look {
  cv::Scalar plastic;
  double plastic_spread = 4;  // between modules, levels
  bool mixed_plastics = false;
  cv::Scalar ink, capacity_ink;
  double ink_opacity = 0.95;
  cv::Scalar sign_ink;
  cv::Scalar seam;
  VentStyle vent = VentStyle::tube;
  SignStyle sign = SignStyle::moulded;
  cv::Scalar vent_color;
  double vent_radius = 7, vent_tube = 12;     // mm
  double vent_pipe = 0.42, vent_mouth = 0.5;  // shares: pipe of the base, mouth of the pipe
  double vent_heading = 0;                    // rad from along the strip: where an elbow points
  int louvres_outward = 0,
      louvres_inward = 0;  // beside the vent, towards the strip's end or middle
  bool louvres_upright = true;
  double sign_size = 9;     // mm, circle's diameter
  double relief = 1;        // strength of moulded detail
  double seam_inset = 0.5;  // mm of dark groove each side
  double dirt = 0.5, rust = 0.3, dust = 0.3;
  double scuffs = 0;  // worn patches, mostly towards the ends
  cv::Scalar rust_color, scuff_color;
  double blotches = 0, blotch_mm = 3;  // cloudy plastic or caked dust, all over
  cv::Scalar blotch_color;
  double grain_mm = 0;  // height of the plastic's roughness
  std::optional<Port> port;
  bool cogs = false;
  cv::Size2d pad{16, 12};      // mm, bright plate under a stud on the face
  bool number_labels = false;  // numbers on stickers
  cv::Scalar label_color;
  bool stud_gold = false;
  std::optional<Plates> plates;
  std::optional<Tray> tray;
  /// What is chosen while drawing and yet belongs to the modules (mould, studs), where several
  /// photos show them; nullopt: the scene's dice choose it.
  std::optional<std::uint64_t> seed;
  bool plain_pads = false;  // signs, vents and numbers stand clear of ribs, holes and screws
};

/// The dice for what belongs to the modules: the scene's, or those of the look's own seed.
class ModuleDice {
 public:
  ModuleDice(Dice& scene, const Look& look) : own_(look.seed.value_or(0)) {
    dice_ = look.seed ? &own_ : &scene;
  }
  ModuleDice(const ModuleDice&) = delete;
  ModuleDice& operator=(const ModuleDice&) = delete;
  Dice& operator*() { return *dice_; }

 private:
  Dice own_;
  Dice* dice_;
};

Look choose_look(Dice& dice, const SidePlan& plan);

struct FaceDrawing {
  Relief relief;          // whole side with margins
  cv::Mat solid;          // CV_8U alpha of the strips
  cv::Point2d origin_mm;  // stack point of the drawing's first pixel
  /// Size in mm of each writing as laid, parallel to Module::writings.
  std::vector<std::vector<cv::Size2d>> writing_mm;
};

FaceDrawing draw_face(Dice& dice, const SidePlan& plan, const Look& look,
                      const DrawText& number_text, const DrawText& other_text, double px_per_mm);

/// The drawing under one lamp: colour times diffuse shading of the relief plus gloss.
/// @param lamp direction towards the lamp, stack axes (x, y, h)
cv::Mat lit(const Relief& relief, const cv::Vec3d& lamp, const cv::Vec3d& eye, double contrast);

}  // namespace scene
