// The shipped networks, run by our own plan of their layers and by OpenCV's `dnn` module (4.6, an
// implementation of ONNX of its own): the outputs must be the same but for rounding. The tests run
// on all that the processor can, and once more (ONEDNN_MAX_CPU_ISA) without short numbers.
#include <gtest/gtest.h>
#include <onnx/onnx_pb.h>

#include <algorithm>
#include <cmath>
#include <dnnl.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <opencv2/core.hpp>
#include <opencv2/dnn.hpp>

#include "plumbstack/conv_net.hpp"

namespace plumbstack {
namespace {

const std::filesystem::path kNets = PLUMBSTACK_NETS;

cv::Mat noise(const std::vector<int>& shape, int seed) {
  cv::Mat input(shape, CV_32F);
  cv::RNG(static_cast<std::uint64_t>(seed)).fill(input, cv::RNG::UNIFORM, -1, 1);
  return input;
}

// OpenCV 4.6 knows no half floats: the file with such weights, and their casts, written as floats.
std::vector<uchar> with_floats(const std::filesystem::path& file) {
  onnx::ModelProto model;
  std::ifstream in(file, std::ios::binary);
  EXPECT_TRUE(model.ParseFromIstream(&in));
  auto& nodes = *model.mutable_graph()->mutable_node();
  std::map<std::string, std::string> cast;
  for (const onnx::NodeProto& node : nodes)
    if (node.op_type() == "Cast") cast[node.input(0)] = node.output(0);
  nodes.erase(std::remove_if(nodes.begin(), nodes.end(),
                             [](const onnx::NodeProto& n) { return n.op_type() == "Cast"; }),
              nodes.end());
  for (onnx::TensorProto& tensor : *model.mutable_graph()->mutable_initializer()) {
    if (tensor.data_type() != onnx::TensorProto::FLOAT16) continue;
    std::string half = tensor.raw_data();
    cv::Mat floats;
    cv::Mat(1, int(half.size() / 2), CV_16F, half.data()).convertTo(floats, CV_32F);
    tensor.set_raw_data(floats.data, floats.total() * floats.elemSize());
    tensor.set_data_type(onnx::TensorProto::FLOAT);
    tensor.set_name(cast.at(tensor.name()));
  }
  std::vector<uchar> written(model.ByteSizeLong());
  EXPECT_TRUE(model.SerializeToArray(written.data(), int(written.size())));
  return written;
}

// What rounding may do to one value, in shares of the output's range, and to all (root mean
// square). Short numbers have 8 binary places: 0.4 % a value, and many layers.
struct Rounding {
  double one, all;
};

Rounding rounding() {
  const bool short_ones = dnnl::get_effective_cpu_isa() == dnnl::cpu_isa::avx512_core_amx;
  return short_ones ? Rounding{0.1, 0.01} : Rounding{1e-4, 1e-5};
}

struct Case {
  const char* file;
  std::vector<std::vector<int>> shapes;
};

class ShippedNets : public testing::TestWithParam<Case> {};

TEST_P(ShippedNets, GiveWhatOpenCvGives) {
  const std::filesystem::path file = kNets / GetParam().file;
  Result<ConvNet> alone = ConvNet::load(file, 1), shared = ConvNet::load(file, 2);
  ASSERT_TRUE(alone);
  ASSERT_TRUE(shared);
  ConvNet fellow = shared->fellow();
  cv::dnn::Net reference = cv::dnn::readNetFromONNX(with_floats(file));
  int seed = 1;
  for (const std::vector<int>& shape : GetParam().shapes)
    for (ConvNet* net : {&*alone, &*shared, &fellow}) {
      const cv::Mat input = noise(shape, seed++);
      const cv::Mat ours = net->run(input);
      reference.setInput(input);
      const cv::Mat theirs = reference.forward();
      ASSERT_EQ(ours.total(), theirs.total());
      double low = 0, high = 0;
      cv::minMaxIdx(theirs.reshape(1, 1), &low, &high);
      EXPECT_GT(high - low, 1e-3) << "an output that says nothing proves nothing";
      const double range = std::max(1.0, high - low);
      EXPECT_LT(cv::norm(ours.reshape(1, 1), theirs.reshape(1, 1), cv::NORM_INF),
                rounding().one * range);
      EXPECT_LT(cv::norm(ours.reshape(1, 1), theirs.reshape(1, 1), cv::NORM_L2),
                rounding().all * range * std::sqrt(double(ours.total())));
    }
}

INSTANTIATE_TEST_SUITE_P(
    Nets, ShippedNets,
    testing::Values(Case{"finder.onnx", {{1, 3, 384, 384}}},
                    Case{"face.onnx", {{1, 3, 512, 384}, {1, 3, 64, 160}, {1, 3, 512, 384}}},
                    Case{"places.onnx", {{1, 3, 48, 96}}}, Case{"reader.onnx", {{1, 1, 48, 96}}},
                    Case{"sign.onnx", {{1, 3, 48, 48}}}, Case{"vent.onnx", {{1, 1, 32, 32}}}),
    [](const auto& about) { return std::filesystem::path(about.param.file).stem().string(); });

TEST(ConvNet, RefusesAFileThatIsCutOrNone) {
  const std::filesystem::path cut =
      std::filesystem::path(testing::TempDir()) / "plumbstack_cut.onnx";
  const auto size = std::filesystem::file_size(kNets / "vent.onnx");
  for (const auto kept : {std::uintmax_t{0}, size / 3, size - 1}) {
    std::filesystem::copy_file(kNets / "vent.onnx", cut,
                               std::filesystem::copy_options::overwrite_existing);
    std::filesystem::resize_file(cut, kept);
    const Result<ConvNet> net = ConvNet::load(cut, 1);
    ASSERT_FALSE(net) << kept;
    EXPECT_EQ(net.error().code, ErrorCode::model_missing);
  }
  std::filesystem::remove(cut);
  EXPECT_FALSE(ConvNet::load(cut, 1));
}

}  // namespace
}  // namespace plumbstack
