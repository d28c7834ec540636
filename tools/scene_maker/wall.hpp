// Faces laid on the walls of the stack: the photographed one, and the one next to it where the
// camera sees it too, which must not be taken for the one that was photographed.
#pragma once

#include "face.hpp"
#include "plan.hpp"
#include "scene.hpp"
#include "surroundings.hpp"

namespace scene {

/// Lays a lit drawing over the photo. @param photo_from_face mm of the face to ideal pixels
void lay_face(const FaceDrawing& drawing, const cv::Mat& shaded_face,
              const cv::Matx33d& photo_from_face, Canvas& canvas);

/// The side next to `plan` along the strips, with marks and writing of its own.
SidePlan wall_of(Dice& dice, const SidePlan& plan);

/// Draws `wall` on the left or right wall of `front`, whichever the camera sees.
void draw_wall_face(Dice& dice, const SidePlan& front, const SidePlan& wall, const Look& look,
                    const SceneTexts& texts, Canvas& canvas);

}  // namespace scene
