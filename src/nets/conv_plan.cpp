// Layers become primitives of oneDNN, which chooses how a value lies in memory. What follows a
// convolution and only touches its own output (a rectifier, or the sum that ends a residual block)
// is done by the convolution itself. Buffers are used again once nobody needs what is in them.
#include "conv_plan.hpp"

#include <algorithm>
#include <map>
#include <optional>
#include <stdexcept>

namespace plumbstack {

using dnnl::algorithm;
using dnnl::memory;
using Desc = memory::desc;
using Dims = memory::dims;
using Tag = memory::format_tag;
constexpr auto kFloat = memory::data_type::f32;
constexpr auto kInference = dnnl::prop_kind::forward_inference;

// What convolutions take: numbers of 16 bits (bfloat16) where the processor multiplies tiles of
// those (AMX), which makes a check twice as fast; short of that they are slower. Sums stay long.
memory::data_type quick_type() {
  const bool tiles = dnnl::get_effective_cpu_isa() == dnnl::cpu_isa::avx512_core_amx;
  return tiles ? memory::data_type::bf16 : kFloat;
}

class PlanMaker {
 public:
  PlanMaker(const OnnxGraph& graph, ConvPlan& plan) : graph_(graph), plan_(plan) {}

  void make(const std::vector<int>& shape) {
    last_use_[graph_.output] = graph_.layers.size();
    for (std::size_t i = 0; i < graph_.layers.size(); ++i)
      for (const std::string& name : graph_.layers[i].inputs)
        last_use_[name] = std::max(last_use_[name], i), ++uses_[name];
    const Dims dims(shape.begin(), shape.end());
    plan_.input_ = value(graph_.input, Desc(dims, kFloat, Tag::nchw));
    for (at_ = 0; at_ < graph_.layers.size(); ++at_) {
      add(graph_.layers[at_]);
      free_what_is_done();
    }
    plan_.output_ = plain(values_.at(graph_.output).memory);
  }

 private:
  struct Value {
    dnnl::memory memory;
    std::size_t buffer;
  };

  static Dims dims_of(const std::vector<std::int64_t>& numbers) {
    return {numbers.begin(), numbers.end()};
  }

  std::vector<std::int64_t> numbers(const Layer& layer, const char* name,
                                    std::vector<std::int64_t> otherwise) const {
    const auto found = layer.numbers.find(name);
    return found == layer.numbers.end() ? otherwise : found->second;
  }

  dnnl::memory& input(const Layer& layer, std::size_t k = 0) {
    return values_.at(layer.inputs.at(k)).memory;
  }

  // A value in the smallest free buffer that holds it, or in a new one.
  dnnl::memory value(const std::string& name, const Desc& desc) {
    std::optional<std::size_t> best;
    for (const std::size_t k : free_)
      if (plan_.buffers_[k].get_desc().get_size() >= desc.get_size() &&
          (!best ||
           plan_.buffers_[k].get_desc().get_size() < plan_.buffers_[*best].get_desc().get_size()))
        best = k;
    if (best)
      std::erase(free_, *best);
    else
      best = plan_.buffers_.size(), plan_.buffers_.emplace_back(desc, plan_.engine_);
    const dnnl::memory memory(desc, plan_.engine_, plan_.buffers_[*best].get_data_handle());
    values_[name] = {memory, *best};
    return memory;
  }

  void free_what_is_done() {
    std::erase_if(values_, [&](const auto& named) {
      const bool done = last_use_[named.first] <= at_;
      if (done) free_.push_back(named.second.buffer);
      return done;
    });
  }

  // Memory that no other value may take.
  dnnl::memory own(const Desc& desc) const { return {desc, plan_.engine_}; }

  void step(const dnnl::primitive& primitive, std::unordered_map<int, dnnl::memory> arguments,
            const Desc& scratchpad = {}) {
    if (scratchpad.get_size() > 0) arguments[DNNL_ARG_SCRATCHPAD] = own(scratchpad);
    plan_.steps_.push_back({primitive, std::move(arguments)});
  }

  dnnl::memory as(const Desc& desc, const dnnl::memory& from) {
    if (from.get_desc() == desc) return from;
    dnnl::memory to = own(desc);
    step(dnnl::reorder(from, to), {{DNNL_ARG_FROM, from}, {DNNL_ARG_TO, to}});
    return to;
  }

  dnnl::memory plain(const dnnl::memory& from) {
    return as(Desc(from.get_desc().dims(), from.get_desc().data_type(), Tag::nchw), from);
  }

  // A tensor of the file in the layout that a primitive wants, laid out once.
  dnnl::memory weights(const Desc& desc, const Dims& shape, Tag tag, const Tensor& tensor) {
    dnnl::memory from(Desc(shape, kFloat, tag), plan_.engine_,
                      const_cast<float*>(tensor.values.data()));
    dnnl::memory to = own(desc);
    dnnl::reorder(from, to).execute(plan_.stream_, from, to);
    plan_.stream_.wait();
    return to;
  }

  // On its way to a convolution; what the network gives out is never short.
  bool feeds_a_convolution(const std::string& name) const {
    for (const Layer& layer : graph_.layers) {
      if (std::find(layer.inputs.begin(), layer.inputs.end(), name) == layer.inputs.end()) continue;
      if (layer.type == "Conv" || layer.type == "ConvTranspose" ||
          feeds_a_convolution(layer.output))
        return true;
    }
    return false;
  }

  memory::data_type type_of(const std::string& name) const {
    return feeds_a_convolution(name) ? quick_type() : kFloat;
  }

  static dnnl::primitive_attr attributes(const dnnl::post_ops& after = {}) {
    dnnl::primitive_attr attr;
    attr.set_scratchpad_mode(dnnl::scratchpad_mode::user);
    attr.set_post_ops(after);
    return attr;
  }

  static void rectify(dnnl::post_ops& after) {
    after.append_eltwise(1, algorithm::eltwise_relu, 0, 0);
  }

  // The next layer, if it is of that type and the only one that takes `name`.
  const Layer* next(const std::string& name, const char* type) const {
    if (at_ + 1 >= graph_.layers.size() || uses_.at(name) != 1 || name == graph_.output)
      return nullptr;
    const Layer& layer = graph_.layers[at_ + 1];
    const bool takes = std::count(layer.inputs.begin(), layer.inputs.end(), name) == 1;
    return takes && layer.type == type ? &layer : nullptr;
  }

  const Layer* rectifier_after(const std::string& name) const { return next(name, "Relu"); }

  void add(const Layer& layer) {
    if (layer.type == "Conv") return convolve(layer);
    if (layer.type == "ConvTranspose") return grow(layer);
    if (layer.type == "Add") return sum(layer);
    if (layer.type == "MaxPool") return pool(layer);
    if (layer.type == "Relu") return each(layer, algorithm::eltwise_relu, 0, 0);
    if (layer.type == "Sigmoid") return each(layer, algorithm::eltwise_logistic, 0, 0);
    if (layer.type == "Sub")
      return each(layer, algorithm::eltwise_linear, 1,
                  -graph_.tensors.at(layer.inputs.at(1)).values.at(0));
    if (layer.type == "Slice") return slice(layer);
    if (layer.type == "Concat") return join(layer);
    // The outputs of a crop lie in order already.
    if (layer.type == "Flatten") return keep(layer, values_.at(layer.inputs[0]));
    throw std::invalid_argument("unknown layer " + layer.type);
  }

  void keep(const Layer& layer, const Value& value) {
    values_[layer.output] = value;
    values_.erase(layer.inputs[0]);
  }

  void convolve(const Layer& layer) {
    const Tensor& kernel = graph_.tensors.at(layer.inputs.at(1));
    const Tensor& bias = graph_.tensors.at(layer.inputs.at(2));
    const Dims in = input(layer).get_desc().dims(), shape = dims_of(kernel.shape);
    const auto strides = numbers(layer, "strides", {1, 1}),
               pads = numbers(layer, "pads", {0, 0, 0, 0});
    const auto long_as = [&](int k) {
      return (in[2 + k] + pads[k] + pads[2 + k] - shape[2 + k]) / strides[k] + 1;
    };
    const Dims out{in[0], shape[0], long_as(0), long_as(1)}, bias_shape{shape[0]};

    dnnl::post_ops after;
    std::string name = layer.output;
    const auto type = type_of(name), taken = quick_type();
    Desc laid(out, type, Tag::any);
    std::optional<Value> onto;  // what the sum adds to, and replaces
    if (const Layer* add = next(name, "Add")) {
      const std::string& other = add->inputs[add->inputs[0] == name ? 1 : 0];
      if (values_.contains(other) && other != layer.inputs[0] && last_use_[other] == at_ + 1) {
        onto = values_.at(other);
        laid = onto->memory.get_desc();
        after.append_sum(1);
        name = add->output, ++at_;
        values_.erase(other);
      }
    }
    if (const Layer* relu = rectifier_after(name)) rectify(after), name = relu->output, ++at_;

    const dnnl::convolution_forward::primitive_desc how({kInference,
                                                         algorithm::convolution_direct,
                                                         Desc(in, taken, Tag::any),
                                                         Desc(shape, taken, Tag::any),
                                                         Desc(bias_shape, kFloat, Tag::x),
                                                         laid,
                                                         dims_of(strides),
                                                         {pads[0], pads[1]},
                                                         {pads[2], pads[3]}},
                                                        attributes(after), plan_.engine_);
    const dnnl::memory from = as(how.src_desc(), input(layer));
    const dnnl::memory to = onto ? onto->memory : value(name, how.dst_desc());
    if (onto) values_[name] = *onto;
    step(dnnl::convolution_forward(how),
         {{DNNL_ARG_SRC, from},
          {DNNL_ARG_WEIGHTS, weights(how.weights_desc(), shape, Tag::oihw, kernel)},
          {DNNL_ARG_BIAS, weights(how.bias_desc(), bias_shape, Tag::x, bias)},
          {DNNL_ARG_DST, to}},
         how.scratchpad_desc());
  }

  void grow(const Layer& layer) {
    const Tensor& kernel = graph_.tensors.at(layer.inputs.at(1));
    const Tensor& bias = graph_.tensors.at(layer.inputs.at(2));
    const Dims in = input(layer).get_desc().dims(), stored = dims_of(kernel.shape);
    const Dims shape{stored[1], stored[0], stored[2], stored[3]}, bias_shape{shape[0]};
    const Dims strides = dims_of(numbers(layer, "strides", {1, 1}));
    const auto taken = quick_type();
    const Dims out{in[0], shape[0], (in[2] - 1) * strides[0] + shape[2],
                   (in[3] - 1) * strides[1] + shape[3]};
    const dnnl::deconvolution_forward::primitive_desc how(
        {kInference,
         algorithm::deconvolution_direct,
         Desc(in, taken, Tag::any),
         Desc(shape, taken, Tag::any),
         Desc(bias_shape, kFloat, Tag::x),
         Desc(out, type_of(layer.output), Tag::any),
         strides,
         {0, 0},
         {0, 0}},
        attributes(), plan_.engine_);
    const dnnl::memory from = as(how.src_desc(), input(layer));
    step(dnnl::deconvolution_forward(how),
         {{DNNL_ARG_SRC, from},
          {DNNL_ARG_WEIGHTS, weights(how.weights_desc(), shape, Tag::iohw, kernel)},
          {DNNL_ARG_BIAS, weights(how.bias_desc(), bias_shape, Tag::x, bias)},
          {DNNL_ARG_DST, value(layer.output, how.dst_desc())}},
         how.scratchpad_desc());
  }

  void sum(const Layer& layer) {
    const dnnl::memory a = input(layer, 0), b = as(a.get_desc(), input(layer, 1));
    dnnl::post_ops after;
    std::string name = layer.output;
    if (const Layer* relu = rectifier_after(name)) rectify(after), name = relu->output, ++at_;
    const dnnl::binary::primitive_desc how(
        {algorithm::binary_add, a.get_desc(), b.get_desc(), a.get_desc()}, attributes(after),
        plan_.engine_);
    step(dnnl::binary(how),
         {{DNNL_ARG_SRC_0, a}, {DNNL_ARG_SRC_1, b}, {DNNL_ARG_DST, value(name, how.dst_desc())}},
         how.scratchpad_desc());
  }

  void pool(const Layer& layer) {
    const Dims in = input(layer).get_desc().dims();
    const Dims kernel = dims_of(numbers(layer, "kernel_shape", {}));
    const Dims strides = dims_of(numbers(layer, "strides", {1, 1}));
    const Dims out{in[0], in[1], (in[2] - kernel.at(0)) / strides[0] + 1,
                   (in[3] - kernel.at(1)) / strides[1] + 1};
    const dnnl::pooling_forward::primitive_desc how(
        {kInference,
         algorithm::pooling_max,
         input(layer).get_desc(),
         Desc(out, input(layer).get_desc().data_type(), Tag::any),
         strides,
         kernel,
         {0, 0},
         {0, 0}},
        attributes(), plan_.engine_);
    step(dnnl::pooling_forward(how),
         {{DNNL_ARG_SRC, input(layer)}, {DNNL_ARG_DST, value(layer.output, how.dst_desc())}},
         how.scratchpad_desc());
  }

  void each(const Layer& layer, algorithm kind, float alpha, float beta) {
    const Desc desc = input(layer).get_desc();
    const dnnl::eltwise_forward::primitive_desc how({kInference, kind, desc, alpha, beta},
                                                    attributes(), plan_.engine_);
    step(dnnl::eltwise_forward(how),
         {{DNNL_ARG_SRC, input(layer)}, {DNNL_ARG_DST, value(layer.output, desc)}},
         how.scratchpad_desc());
  }

  // Some channels of a value.
  void slice(const Layer& layer) {
    const auto number = [&](std::size_t k) {
      return std::int64_t(graph_.tensors.at(layer.inputs.at(k)).values.at(0));
    };
    if (number(3) != 1) throw std::invalid_argument("only channels are cut");
    const dnnl::memory whole = plain(input(layer));
    Dims dims = whole.get_desc().dims();
    const std::int64_t first = number(1), last = std::min(number(2), dims[1]);
    dims[1] = last - first;
    const dnnl::memory part(whole.get_desc().submemory_desc(dims, {0, first, 0, 0}), plan_.engine_,
                            whole.get_data_handle());
    const dnnl::memory to =
        value(layer.output, Desc(dims, whole.get_desc().data_type(), Tag::nchw));
    step(dnnl::reorder(part, to), {{DNNL_ARG_FROM, part}, {DNNL_ARG_TO, to}});
  }

  // Values beside each other as channels of one.
  void join(const Layer& layer) {
    std::vector<Desc> parts;
    std::unordered_map<int, dnnl::memory> arguments;
    for (std::size_t k = 0; k < layer.inputs.size(); ++k) {
      const dnnl::memory part = plain(input(layer, k));
      parts.push_back(part.get_desc());
      arguments[DNNL_ARG_MULTIPLE_SRC + static_cast<int>(k)] = part;
    }
    const dnnl::concat::primitive_desc how(1, parts, plan_.engine_, attributes());
    arguments[DNNL_ARG_DST] = value(layer.output, how.dst_desc());
    step(dnnl::concat(how), std::move(arguments), how.scratchpad_desc());
  }

  const OnnxGraph& graph_;
  ConvPlan& plan_;
  std::size_t at_ = 0;  // the layer that is being planned
  std::map<std::string, std::size_t> last_use_, uses_;
  std::map<std::string, Value> values_;  // those that a layer to come needs
  std::vector<std::size_t> free_;        // buffers
};

ConvPlan::ConvPlan(const OnnxGraph& graph, const std::vector<int>& shape) {
  PlanMaker(graph, *this).make(shape);
}

cv::Mat ConvPlan::run(const cv::Mat& input) {
  std::copy_n(input.ptr<float>(), input.total(), static_cast<float*>(input_.get_data_handle()));
  for (const Step& step : steps_) step.primitive.execute(stream_, step.arguments);
  stream_.wait();
  const memory::dims dims = output_.get_desc().dims();
  return {std::vector<int>(dims.begin(), dims.end()), CV_32F, output_.get_data_handle()};
}

}  // namespace plumbstack
