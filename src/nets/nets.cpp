#include "plumbstack/nets.hpp"

#include <algorithm>

#include "plumbstack/base/in_parallel.hpp"

namespace plumbstack {
namespace {

constexpr int kMostCopies = 4;  // more threads than that are better used for other photos

// OpenCV reports a missing, truncated or foreign file by an exception; it ends here.
Result<cv::dnn::Net> load_net(const std::filesystem::path& file) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(file, ignored))
    return fail(ErrorCode::model_missing, "network file is missing; install the models again",
                file.string());
  try {
    cv::dnn::Net net = cv::dnn::readNetFromONNX(file.string());
    net.setPreferableBackend(cv::dnn::DNN_BACKEND_OPENCV);
    net.setPreferableTarget(cv::dnn::DNN_TARGET_CPU);
    return net;
  } catch (const cv::Exception&) {
    return fail(ErrorCode::model_missing, "network file is damaged; install the models again",
                file.string());
  }
}

}  // namespace

Result<Nets> load_nets(const std::filesystem::path& folder) {
  const auto copies = static_cast<std::size_t>(std::clamp(cv::getNumThreads(), 1, kMostCopies));
  struct Kind {
    const char* file;
    std::vector<Result<cv::dnn::Net>> copies;
  };
  const Result<cv::dnn::Net> none;
  Kind finder{"finder.onnx", {none}}, face{"face.onnx", {none}},
      reader{"reader.onnx", {copies, none}}, places{"places.onnx", {copies, none}},
      sign{"sign.onnx", {copies, none}}, vent{"vent.onnx", {copies, none}};
  std::vector<std::pair<const char*, Result<cv::dnn::Net>*>> all;
  for (Kind* kind : {&finder, &face, &reader, &places, &sign, &vent})
    for (Result<cv::dnn::Net>& net : kind->copies) all.emplace_back(kind->file, &net);
  in_parallel(all.size(), [&](std::size_t i) { *all[i].second = load_net(folder / all[i].first); });
  for (const auto& [file, net] : all)
    if (!*net) return tl::unexpected<Error>(net->error());
  Nets nets;
  nets.finder = std::move(*finder.copies[0]), nets.face = std::move(*face.copies[0]);
  const auto crop_net = [](Kind& kind) {
    std::vector<cv::dnn::Net> loaded;
    for (Result<cv::dnn::Net>& net : kind.copies) loaded.push_back(std::move(*net));
    return CropNet(std::move(loaded));
  };
  nets.reader = crop_net(reader), nets.places = crop_net(places);
  nets.sign = crop_net(sign), nets.vent = crop_net(vent);
  Result<Calibrations> calibrations = load_calibrations(folder);
  if (!calibrations) return tl::unexpected<Error>(calibrations.error());
  nets.calibrations = std::move(*calibrations);
  return nets;
}

cv::Mat CropNet::run(const std::vector<cv::Mat>& crops) {
  const std::size_t parts = std::min(copies_.size(), crops.size());
  std::vector<cv::Mat> outputs(parts);
  in_parallel(parts, [&](std::size_t k) {
    const auto at = [&](std::size_t part) {
      return crops.begin() + static_cast<std::ptrdiff_t>(part * crops.size() / parts);
    };
    copies_[k].setInput(cv::dnn::blobFromImages(std::vector<cv::Mat>(at(k), at(k + 1))));
    outputs[k] = copies_[k].forward().reshape(1, static_cast<int>(at(k + 1) - at(k)));
  });
  cv::Mat all;
  cv::vconcat(outputs, all);
  return all;
}

Result<std::vector<cv::Mat>> run_planes(cv::dnn::Net& net, const cv::Mat& bgr) {
  try {
    net.setInput(cv::dnn::blobFromImage(bgr, 1 / 255.0));
    const cv::Mat out = net.forward();
    if (out.dims != 4 || out.size[0] != 1 || out.type() != CV_32F)
      return fail(ErrorCode::internal, "network gives an output of an unexpected shape");
    std::vector<cv::Mat> planes;
    for (int c = 0; c < out.size[1]; ++c)
      planes.push_back(
          cv::Mat(out.size[2], out.size[3], CV_32F, const_cast<float*>(out.ptr<float>(0, c)))
              .clone());
    return planes;
  } catch (const cv::Exception& e) {
    return fail(ErrorCode::internal, "network does not run: " + e.err);
  }
}

}  // namespace plumbstack
