#include "speed_input.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <map>
#include <memory>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "../../src/check/parts.hpp"

namespace plumbstack::speed {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void stop(const std::string& why) {
  std::cerr << "speed: " << why << "\n";
  std::exit(70);
}

template <typename T>
T value_of(Result<T> result) {
  if (!result) stop(result.error().where + ": " + result.error().message);
  return std::move(*result);
}

// The first bundled sample that holds a pack definition and a photo named after one of its sides.
fs::path sample_photo(Pack& pack, const Side*& side) {
  std::vector<fs::path> folders;
  for (const auto& entry : fs::directory_iterator(PLUMBSTACK_SOURCE_DIR "/sample_images"))
    if (fs::exists(entry.path() / "pack.json")) folders.push_back(entry.path());
  std::sort(folders.begin(), folders.end());
  for (const fs::path& folder : folders) {
    pack = value_of(load_pack(folder / "pack.json"));
    for (const Side& s : pack.sides)
      if (const fs::path photo = folder / (s.name + ".jpg"); fs::exists(photo)) {
        side = &s;
        return photo;
      }
  }
  stop("no sample stack in sample_images");
}

std::vector<std::uint8_t> jpeg_at(int megapixels) {
  Pack pack;
  const Side* side = nullptr;
  const cv::Mat sample = cv::imread(sample_photo(pack, side).string());
  if (sample.empty()) stop("the sample photo can't be read");
  const double scale = std::sqrt(megapixels * 1e6 / double(sample.total()));
  cv::Mat scaled;
  cv::resize(sample, scaled, {}, scale, scale, cv::INTER_CUBIC);
  std::vector<std::uint8_t> bytes;
  cv::imencode(".jpg", scaled, bytes, {cv::IMWRITE_JPEG_QUALITY, 90});
  return bytes;
}

std::unique_ptr<Input> taken_through(int megapixels) {
  Bench& b = bench();
  auto input = std::make_unique<Input>();
  input->jpeg = jpeg_at(megapixels);
  input->photo = value_of(decode_photo(input->jpeg, "sample.jpg"));
  auto found = value_of(find_stack(input->photo, b.pack, *b.side, b.nets));
  if (!found) stop("no stack found in the sample at " + std::to_string(megapixels) + " MP");
  input->found = std::move(*found);
  input->read = read_marks(input->photo, input->found, b.pack, *b.side, b.nets);
  const auto strips = cut_strips(input->photo, input->found.frame);
  input->evidence = evidence_of(b.pack, *b.side, input->found, strips, input->read, std::nullopt);
  input->check.photos.push_back({input->photo, b.side->name, input->found.frame, input->evidence});
  input->check.judgement = judge(b.pack, {input->evidence});
  return input;
}

}  // namespace

Bench& bench() {
  static const std::unique_ptr<Bench> made = [] {
    auto b = std::make_unique<Bench>();
    sample_photo(b->pack, b->side);
    b->nets = value_of(load_nets(PLUMBSTACK_SOURCE_DIR "/models/nets"));
    return b;
  }();
  return *made;
}

const Input& input_at(int megapixels) {
  static std::map<int, std::unique_ptr<Input>> made;
  auto& input = made[megapixels];
  if (!input) input = taken_through(megapixels);
  return *input;
}

}  // namespace plumbstack::speed
