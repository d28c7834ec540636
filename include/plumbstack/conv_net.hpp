// A convolutional network as its ONNX file describes it, run by oneDNN (Debian's libdnnl), which
// does one and a half to five times as much in the same time as OpenCV 4.6 on the same processor.
#pragma once

#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// Keeps buffers between runs, so one ConvNet serves one thread at a time; copies made by `fellow`
/// share what was read from the file.
class ConvNet {
 public:
  ConvNet();
  ConvNet(ConvNet&&) noexcept;
  ConvNet& operator=(ConvNet&&) noexcept;
  ~ConvNet();

  /// Errors: model_missing, naming the file, where it is missing, damaged, or asks for a layer that
  /// is not known here.
  /// @param threads how many work on one input; oneDNN shares the work out when it plans
  static Result<ConvNet> load(const std::filesystem::path& file, int threads);
  /// The same network with buffers of its own, for another thread.
  ConvNet fellow() const;

  /// @param input 1 x C x H x W, CV_32F, continuous: any H and W that the network takes
  /// @return 1 x C x H x W, CV_32F; it stays valid until the next run
  /// @throws dnnl::error where the network can't take an input of that shape
  cv::Mat run(const cv::Mat& input);

 private:
  void plan(const std::vector<int>& shape);

  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace plumbstack
