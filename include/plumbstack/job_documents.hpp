// Plans and results as files -> what a job's entry says of them; and the pictures from which a
// person confirms an unsure reading.
#pragma once

#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "plumbstack/documents.hpp"
#include "plumbstack/job_entry.hpp"

namespace plumbstack {

/// What the entry of a plan says of its modules. @param planned slot 1 first
std::vector<PlannedSlot> planned_slots(const std::vector<PlannedModule>& planned);

/// What the entry of a result says of it, without `file`, `pictures` and `rechecks`. Error:
/// document_invalid, where it has no photos, or its verdict and its findings contradict each other.
Result<ResultAttached> attached_result(const CheckResult& result, const std::string& origin);

/// Names of the pictures that `plumbstack check` writes beside a result, in the order of its
/// photos.
std::vector<std::string> annotated_names(const ResultAttached& result);

/// One reading that a person may confirm.
struct UnsureReading {
  std::string side;
  int slot = 0;
  std::string mark;     // "number", "vent" or "sign"
  std::string planned;  // as ReadingConfirmed has it
  std::string ask;      // what to answer, in words
  Quad face_in_photo;   // px, displayed photo; corners as in geometry.hpp with slot 1 at the top
  int turn_deg = 0;  // 0, 90, 180, 270: counter-clockwise, so that a mark in its place is upright
};
/// Those of the result's `number.unsure`, `vent.unsure` and `sign.unsure` that hold it back and of
/// which the strip is seen.
std::vector<UnsureReading> unsure_readings(const CheckResult& result, const Pack& pack);

/// The strip with a share of its neighbours, rectified, upright, and what is asked below it, as
/// JPEG. The same photo and reading give the same bytes.
/// @param pixels 8-bit BGR, the displayed photo
std::vector<unsigned char> confirmation_picture(const cv::Mat& pixels,
                                                const UnsureReading& reading);

/// "terminal-a-slot-07-sign.jpg"
std::string picture_name(const UnsureReading& reading);

}  // namespace plumbstack
