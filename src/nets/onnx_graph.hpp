// What an ONNX file says, as far as the shipped networks use it: a list of layers in the order in
// which they run, each naming the values it takes and the one it gives.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct Tensor {
  std::vector<std::int64_t> shape;
  std::vector<float> values;
};

struct Layer {
  std::string type;                 // ONNX operator
  std::vector<std::string> inputs;  // values of other layers, or tensors
  std::string output;
  std::map<std::string, std::vector<std::int64_t>> numbers;  // attributes that are whole numbers
};

struct OnnxGraph {
  std::string input, output;
  std::vector<int> shape;  // of the input, as the file names it
  std::vector<Layer> layers;
  std::map<std::string, Tensor> tensors;  // weights and constants
};

/// Errors: model_missing, naming the file, where it is missing, damaged or no such network.
Result<OnnxGraph> read_onnx(const std::filesystem::path& file);

}  // namespace plumbstack
