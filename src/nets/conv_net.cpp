#include "plumbstack/conv_net.hpp"

#include <omp.h>

#include "conv_plan.hpp"

namespace plumbstack {

struct ConvNet::Inside {
  std::shared_ptr<const OnnxGraph> graph;
  int threads = 1;
  std::vector<int> shape;  // of the plan
  std::unique_ptr<ConvPlan> plan;
};

ConvNet::ConvNet() = default;
ConvNet::ConvNet(ConvNet&&) noexcept = default;
ConvNet& ConvNet::operator=(ConvNet&&) noexcept = default;
ConvNet::~ConvNet() = default;

Result<ConvNet> ConvNet::load(const std::filesystem::path& file, int threads) {
  Result<OnnxGraph> graph = read_onnx(file);
  if (!graph) return tl::unexpected<Error>(graph.error());
  ConvNet net;
  net.inside_ = std::make_unique<Inside>();
  net.inside_->graph = std::make_shared<const OnnxGraph>(std::move(*graph));
  net.inside_->threads = threads;
  try {
    net.plan(net.inside_->graph->shape);
  } catch (const std::exception&) {  // dnnl::error, or a value or layer that is not there
    return fail(ErrorCode::model_missing, "network file is damaged; install the models again",
                file.string());
  }
  return net;
}

ConvNet ConvNet::fellow() const {
  ConvNet net;
  net.inside_ = std::make_unique<Inside>();
  net.inside_->graph = inside_->graph, net.inside_->threads = inside_->threads;
  return net;
}

void ConvNet::plan(const std::vector<int>& shape) {
  omp_set_num_threads(inside_->threads);  // for this thread's plans and loops
  if (shape == inside_->shape) return;
  inside_->plan.reset();  // its buffers may be the new one's
  inside_->plan = std::make_unique<ConvPlan>(*inside_->graph, shape);
  inside_->shape = shape;
}

cv::Mat ConvNet::run(const cv::Mat& input) {
  plan({input.size.p, input.size.p + input.dims});
  return inside_->plan->run(input);
}

}  // namespace plumbstack
