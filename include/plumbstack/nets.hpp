// The shipped networks, loaded once and shared. Each keeps buffers, so one Nets serves one thread
// at a time.
#pragma once

#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/base/result.hpp"
#include "plumbstack/calibration.hpp"
#include "plumbstack/conv_net.hpp"

namespace plumbstack {

class SecondReader;

/// A network for many small pictures of one size. They are shared out among copies of it, one a
/// thread: within one copy threads wait for each other layer by layer.
class CropNet {
 public:
  CropNet() = default;
  explicit CropNet(ConvNet net);
  /// @param crops CV_32F as the network takes them, one size
  /// @return CV_32F, a row a crop: the network's outputs in their order
  cv::Mat run(const std::vector<cv::Mat>& crops);

 private:
  std::vector<ConvNet> copies_;
};

struct Nets {
  ConvNet finder;  // models/nets/finder.onnx: photo -> where on the stack each pixel is
  ConvNet face;    // models/nets/face.onnx: rectified side -> seams, ends, cover, marks
  CropNet reader;  // models/nets/reader.onnx: upright crop of a number -> its digits
  CropNet places;  // models/nets/places.onnx: the same crop, read another way
  CropNet sign;    // models/nets/sign.onnx: patch of a strip -> neither, plus, minus
  CropNet vent;    // models/nets/vent.onnx: wider patch of a strip -> none, vent
  Calibrations calibrations;
  std::shared_ptr<SecondReader> second_reader;  // started by the first photo that has numbers
};

/// Errors: model_missing, naming the file.
Result<Nets> load_nets(const std::filesystem::path& folder);

/// Runs a fully convolutional network on one 8-bit BGR picture (values scaled to 0..1).
/// @return its output channels, CV_32F, owning their memory. Error: internal.
Result<std::vector<cv::Mat>> run_planes(ConvNet& net, const cv::Mat& bgr);

}  // namespace plumbstack
