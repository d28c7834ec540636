// The shipped networks, loaded once and shared. OpenCV DNN keeps buffers inside a net, so one Nets
// serves one thread at a time.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <opencv2/dnn.hpp>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct Nets {
  cv::dnn::Net finder;  // models/nets/finder.onnx: photo -> where on the stack each pixel is
  cv::dnn::Net face;    // models/nets/face.onnx: rectified side -> seams, ends, cover, marks
  cv::dnn::Net reader;  // models/nets/reader.onnx: upright crop of a number -> its digits
};

/// Errors: model_missing.
Result<Nets> load_nets(const std::filesystem::path& folder);

}  // namespace plumbstack
