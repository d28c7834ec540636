// The steps that a network takes for one shape of input, and the buffers they work in.
#pragma once

#include <dnnl.hpp>
#include <opencv2/core.hpp>
#include <unordered_map>
#include <vector>

#include "onnx_graph.hpp"

namespace plumbstack {

class ConvPlan {
 public:
  /// @param shape 1, C, H, W of the input
  /// @throws dnnl::error where a layer can't take what it is given; std::out_of_range where the
  /// graph names a value that it does not have; std::invalid_argument for a layer that is not known
  ConvPlan(const OnnxGraph& graph, const std::vector<int>& shape);
  /// @return the output, valid until the next run
  cv::Mat run(const cv::Mat& input);

 private:
  friend class PlanMaker;
  struct Step {
    dnnl::primitive primitive;
    std::unordered_map<int, dnnl::memory> arguments;
  };
  dnnl::engine engine_{dnnl::engine::kind::cpu, 0};
  dnnl::stream stream_{engine_};
  dnnl::memory input_, output_;
  std::vector<Step> steps_;
  std::vector<dnnl::memory> buffers_;
};

}  // namespace plumbstack
