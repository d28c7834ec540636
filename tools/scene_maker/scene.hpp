// One scene: a plan drawn through a camera, with its exact truth.
#pragma once

#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>

#include "camera.hpp"
#include "face.hpp"
#include "plan.hpp"

namespace scene {

struct Scene {
  cv::Mat photo;  // CV_8UC3, displayed orientation
  cv::Mat cover;  // CV_8U, a quarter of the size; 255 = something lies over the side here
  nlohmann::ordered_json truth;
};

struct SceneTexts {
  DrawText number;  // the hand or font of this stack's sequence numbers
  DrawText other;   // of its other writing
};

/// Draws the plan as any photo may show it. `long_side_px` is the photo's longer edge.
Scene draw_scene(Dice& dice, const SidePlan& plan, const SceneTexts& texts, int long_side_px);

/// Draws the plan as someone photographs it who wants it checked: on a bench, nearly straight on,
/// filling the photo. @param look of the stack, which its other photos show too
Scene draw_shop_photo(Dice& dice, const SidePlan& plan, const SceneTexts& texts, int long_side_px,
                      const Look& look);

/// A bench without a stack.
Scene draw_empty_scene(Dice& dice, int long_side_px);

/// Truth of a drawn side; see scene_truth.cpp for what counts as covered.
nlohmann::ordered_json truth_of(const SidePlan& plan, const Camera& camera,
                                const FaceDrawing& drawing, const cv::Mat& cover);

}  // namespace scene
