// The shipped networks, loaded once and shared. OpenCV DNN keeps buffers inside a net, so one Nets
// serves one thread at a time.
#pragma once

#include <filesystem>
#include <memory>
#include <opencv2/core.hpp>
#include <opencv2/dnn.hpp>
#include <vector>

#include "plumbstack/base/result.hpp"
#include "plumbstack/calibration.hpp"

namespace plumbstack {

class SecondReader;

struct Nets {
  cv::dnn::Net finder;  // models/nets/finder.onnx: photo -> where on the stack each pixel is
  cv::dnn::Net face;    // models/nets/face.onnx: rectified side -> seams, ends, cover, marks
  cv::dnn::Net reader;  // models/nets/reader.onnx: upright crop of a number -> its digits
  cv::dnn::Net places;  // models/nets/places.onnx: the same crop, read another way
  cv::dnn::Net sign;    // models/nets/sign.onnx: patch of a strip -> neither, plus, minus
  cv::dnn::Net vent;    // models/nets/vent.onnx: wider patch of a strip -> none, vent
  Calibrations calibrations;
  std::shared_ptr<SecondReader> second_reader;  // started by the first photo that has numbers
};

/// Errors: model_missing, naming the file.
Result<Nets> load_nets(const std::filesystem::path& folder);

/// Runs a fully convolutional network on one 8-bit BGR picture (values scaled to 0..1).
/// @return its output channels, CV_32F, owning their memory. Error: internal.
Result<std::vector<cv::Mat>> run_planes(cv::dnn::Net& net, const cv::Mat& bgr);

}  // namespace plumbstack
