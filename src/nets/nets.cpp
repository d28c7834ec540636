#include "plumbstack/nets.hpp"

#include <algorithm>
#include <atomic>
#include <dnnl.hpp>
#include <opencv2/imgproc.hpp>

#include "plumbstack/base/in_parallel.hpp"

namespace plumbstack {
namespace {

constexpr int kMostCopies = 4;  // more threads than that are better used for other photos

// 8-bit or float pixels as the network takes them: 1 x channels x h x w, CV_32F.
cv::Mat blob_of(const cv::Mat& picture, double scale) {
  cv::Mat blob({1, picture.channels(), picture.rows, picture.cols}, CV_32F);
  cv::Mat scaled;
  picture.convertTo(scaled, CV_32F, scale);
  std::vector<cv::Mat> planes;
  for (int c = 0; c < picture.channels(); ++c)
    planes.emplace_back(picture.rows, picture.cols, CV_32F, blob.ptr<float>(0, c));
  cv::split(scaled, planes);
  return blob;
}

int threads() {
  return std::clamp(cv::getNumThreads(), 1, kMostCopies);
}

}  // namespace

Result<Nets> load_nets(const std::filesystem::path& folder) {
  const char* const files[] = {"finder.onnx", "face.onnx", "reader.onnx",
                               "places.onnx", "sign.onnx", "vent.onnx"};
  std::vector<Result<ConvNet>> loaded(std::size(files));
  in_parallel(loaded.size(), [&](std::size_t i) {
    // All threads work on the one picture of finder and face; the others have a crop for each.
    loaded[i] = ConvNet::load(folder / files[i], i < 2 ? threads() : 1);
  });
  for (const Result<ConvNet>& net : loaded)
    if (!net) return tl::unexpected<Error>(net.error());
  Nets nets{std::move(*loaded[0]),
            std::move(*loaded[1]),
            CropNet(std::move(*loaded[2])),
            CropNet(std::move(*loaded[3])),
            CropNet(std::move(*loaded[4])),
            CropNet(std::move(*loaded[5])),
            {},
            {}};
  Result<Calibrations> calibrations = load_calibrations(folder);
  if (!calibrations) return tl::unexpected<Error>(calibrations.error());
  nets.calibrations = std::move(*calibrations);
  return nets;
}

CropNet::CropNet(ConvNet net) {
  for (int k = 1; k < threads(); ++k) copies_.push_back(net.fellow());
  copies_.push_back(std::move(net));
}

cv::Mat CropNet::run(const std::vector<cv::Mat>& crops) {
  std::vector<cv::Mat> outputs(crops.size());
  std::atomic<std::size_t> next{0};  // which crop comes next: some threads are slower
  in_parallel(std::min(copies_.size(), crops.size()), [&](std::size_t k) {
    for (std::size_t i = next++; i < crops.size(); i = next++)
      outputs[i] = copies_[k].run(blob_of(crops[i], 1)).reshape(1, 1).clone();
  });
  cv::Mat all;
  cv::vconcat(outputs, all);
  return all;
}

Result<std::vector<cv::Mat>> run_planes(ConvNet& net, const cv::Mat& bgr) {
  try {
    const cv::Mat out = net.run(blob_of(bgr, 1 / 255.0));
    std::vector<cv::Mat> planes;
    for (int c = 0; c < out.size[1]; ++c)
      planes.push_back(
          cv::Mat(out.size[2], out.size[3], CV_32F, const_cast<float*>(out.ptr<float>(0, c)))
              .clone());
    return planes;
  } catch (const dnnl::error& e) {
    return fail(ErrorCode::internal, std::string("network does not run: ") + e.what());
  }
}

}  // namespace plumbstack
