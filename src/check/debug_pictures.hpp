// One numbered picture a stage, for finding the first stage that went wrong (DEVELOPERS.md).
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "plumbstack/check_stack.hpp"
#include "plumbstack/strips.hpp"

namespace plumbstack {

/// Writes FOLDER/<number of the photo>_<its stem>/1_photo.jpg ... 5_verdict.jpg and
/// FOLDER/durations.txt. With an empty folder it does nothing, so that the path needs no questions.
/// The first failure is kept and returned by `finish`; the check itself goes on.
class DebugPictures {
 public:
  explicit DebugPictures(std::filesystem::path folder) : folder_(std::move(folder)) {}

  void photo(const Photo& photo);  // begins the next photo's own folder
  void stack(const Photo& photo, const std::optional<FoundStack>& found, Nets& nets);
  void strips(const std::vector<StripCut>& strips);
  void marks(const Photo& photo, const StackFrame& frame, const SideMarks& marks);
  /// The last picture of every photo, and the durations. Error: output_unwritable.
  Result<void> finish(const Pack& pack, const Check& check);

 private:
  bool off() const { return folder_.empty(); }
  void write(const std::string& name, const cv::Mat& picture);

  std::filesystem::path folder_;
  std::vector<std::filesystem::path> photos_;  // a folder each
  Result<void> state_;
};

/// Debug picture: the cuts one under the other, their figures beside them.
cv::Mat draw_strips(const std::vector<StripCut>& strips);
/// Debug picture: the rectified side with what was read, in the frame's provisional direction.
cv::Mat draw_marks(const Photo& photo, const StackFrame& frame, const SideMarks& marks);

}  // namespace plumbstack
