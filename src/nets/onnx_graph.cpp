#include "onnx_graph.hpp"

#include <onnx/onnx_pb.h>

#include <cstring>
#include <fstream>
#include <opencv2/core.hpp>

namespace plumbstack {
namespace {

template <typename T>
bool values_from(const std::string& raw, std::vector<float>& values) {
  std::vector<T> read(raw.size() / sizeof(T));
  if (raw.size() != read.size() * sizeof(T)) return false;
  std::memcpy(read.data(), raw.data(), raw.size());
  values.assign(read.begin(), read.end());
  return true;
}

// False for a kind of tensor, or an amount of values, that no shipped network has.
bool tensor_from(const onnx::TensorProto& from, Tensor& tensor) {
  tensor.shape.assign(from.dims().begin(), from.dims().end());
  std::size_t count = 1;
  for (const std::int64_t size : tensor.shape) count *= static_cast<std::size_t>(size);
  bool read = false;
  if (from.data_type() == onnx::TensorProto::FLOAT16)
    read = from.has_raw_data() && values_from<cv::float16_t>(from.raw_data(), tensor.values);
  else if (from.data_type() == onnx::TensorProto::FLOAT)
    read = from.has_raw_data()
               ? values_from<float>(from.raw_data(), tensor.values)
               : (tensor.values.assign(from.float_data().begin(), from.float_data().end()), true);
  else if (from.data_type() == onnx::TensorProto::INT64)
    read = from.has_raw_data()
               ? values_from<std::int64_t>(from.raw_data(), tensor.values)
               : (tensor.values.assign(from.int64_data().begin(), from.int64_data().end()), true);
  return read && tensor.values.size() == count;
}

bool graph_from(const onnx::GraphProto& from, OnnxGraph& graph) {
  for (const onnx::TensorProto& tensor : from.initializer())
    if (!tensor_from(tensor, graph.tensors[tensor.name()])) return false;
  for (const onnx::NodeProto& node : from.node()) {
    if (node.output_size() != 1) return false;
    Layer layer{node.op_type(), {node.input().begin(), node.input().end()}, node.output(0), {}};
    for (const onnx::AttributeProto& attribute : node.attribute()) {
      if (node.op_type() == "Constant" && attribute.has_t()) {
        if (!tensor_from(attribute.t(), graph.tensors[node.output(0)])) return false;
      } else if (attribute.type() == onnx::AttributeProto::INTS) {
        layer.numbers[attribute.name()].assign(attribute.ints().begin(), attribute.ints().end());
      } else if (attribute.type() == onnx::AttributeProto::INT) {
        layer.numbers[attribute.name()] = {attribute.i()};
      }
    }
    if (node.op_type() == "Constant") continue;
    // Weights kept as half floats: read as floats already.
    const auto kept = layer.type == "Cast" && layer.inputs.size() == 1
                          ? graph.tensors.find(layer.inputs[0])
                          : graph.tensors.end();
    if (kept == graph.tensors.end())
      graph.layers.push_back(std::move(layer));
    else
      graph.tensors[layer.output] = kept->second;
  }
  for (const onnx::ValueInfoProto& input : from.input())
    if (!graph.tensors.contains(input.name())) {
      graph.input = input.name();
      for (const auto& size : input.type().tensor_type().shape().dim())
        graph.shape.push_back(static_cast<int>(size.dim_value()));
    }
  if (from.output_size() == 1) graph.output = from.output(0).name();
  return graph.shape.size() == 4 && !graph.output.empty() && !graph.layers.empty();
}

}  // namespace

Result<OnnxGraph> read_onnx(const std::filesystem::path& file) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file, ignored))
    return fail(ErrorCode::model_missing, "network file is missing; install the models again",
                file.string());
  std::ifstream in(file, std::ios::binary);
  onnx::ModelProto model;
  OnnxGraph graph;
  if (!model.ParseFromIstream(&in) || !graph_from(model.graph(), graph))
    return fail(ErrorCode::model_missing, "network file is damaged; install the models again",
                file.string());
  return graph;
}

}  // namespace plumbstack
