// Both readers of numbers on photos whose writing is known: one JSON line for each writing, with
// its text, what the network and the second reader read, and how long the second took. The boxes
// are moved and stretched at random, as the boxes found in a photo are not exact either.
//
//   read_twice NETS SEED TRUTH.json... > readings.jsonl
#include <chrono>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>
#include <random>

#include "number_choice.hpp"
#include "plumbstack/photo.hpp"
#include "second_opinion.hpp"

namespace plumbstack {
namespace {

using nlohmann::json;

struct Truth {
  std::string text;
  Quad quad;  // px, from the text's own top-left
};

std::vector<Truth> writings_of(const json& truth) {
  std::vector<Truth> all;
  const auto add = [&](const json& w) {
    if (w.value("covered", false) || w.value("hard", false)) return;
    Truth t{w.at("text").get<std::string>(), {}};
    for (std::size_t i = 0; i < 4; ++i)
      t.quad[i] = {w.at("quad")[i][0].get<double>(), w.at("quad")[i][1].get<double>()};
    all.push_back(t);
  };
  for (const json& slot : truth.at("slots")) {
    if (slot.contains("writing")) {
      for (const json& w : slot["writing"]) add(w);
    } else if (slot.contains("number") && slot["number"].is_object()) {
      add(slot["number"]);
    }
  }
  return all;
}

double side(const Quad& q, std::size_t a, std::size_t b) {
  return cv::norm(q[b] - q[a]);
}

// A plane of the writing alone: its box is 10 mm high, its corners are the quad's.
PlaneView view_of(const Quad& q, Writing& w) {
  w.height_mm = 10;
  w.length_mm = 10 * (side(q, 0, 1) + side(q, 3, 2)) / std::max(1.0, side(q, 0, 3) + side(q, 1, 2));
  const std::vector<cv::Point2f> box{
      {0, 0}, {static_cast<float>(w.length_mm), 0}, {static_cast<float>(w.length_mm), 10}, {0, 10}};
  std::vector<cv::Point2f> corners;
  for (const cv::Point2d& p : q) corners.emplace_back(p);
  PlaneView view;
  view.photo_from_stack = cv::Matx33d(cv::Mat(cv::getPerspectiveTransform(box, corners)));
  w.centre_mm = {w.length_mm / 2, 5};
  return view;
}

void loosen(Writing& w, std::mt19937& dice) {
  std::normal_distribution<double> shift(0, 0.7), stretch(0, 0.08);  // mm of 10 mm; log of size
  w.centre_mm += cv::Point2d(shift(dice), shift(dice));
  const double size = std::exp(stretch(dice));
  w.length_mm *= size * std::exp(stretch(dice));
  w.height_mm *= size;
}

json read_one(const Photo& photo, const Truth& truth, Nets& nets, SecondReader& second,
              std::mt19937& dice) {
  std::vector<std::vector<Writing>> one(1, std::vector<Writing>(1));
  Writing& w = one[0][0];
  const PlaneView view = view_of(truth.quad, w);
  loosen(w, dice);
  StackFrame frame;
  frame.view = view;
  frame.strips.resize(1);  // one that reaches far beyond the writing: nothing is cut away
  frame.strips[0].top_mm = -1e3, frame.strips[0].bottom_mm = 1e3;
  NetReader(nets).read(photo, frame, one);
  const auto start = std::chrono::steady_clock::now();
  const UprightCrop crop = upright_crop(photo, view, w, 0);
  const auto reading = second.read(crop.grey, crop.text_px);
  const std::chrono::duration<double, std::milli> ms = std::chrono::steady_clock::now() - start;
  return {{"text", truth.text},
          {"height_px", (side(truth.quad, 0, 3) + side(truth.quad, 1, 2)) / 2},
          {"net", w.upright.text},
          {"score", number_probability({w.upright.places, w.upright.columns, w.upright.nothing})},
          {"second", reading ? json(reading->text) : json()},
          {"votes", reading ? reading->votes : 0},
          {"ms", ms.count()}};
}

int run(int argc, char** argv) {
  if (argc < 4) {
    std::cerr << "usage: read_twice NETS SEED TRUTH.json...\n";
    return 64;
  }
  auto nets = load_nets(argv[1]);
  if (!nets) {
    std::cerr << nets.error().where << ": " << nets.error().message << "\n";
    return 65;
  }
  std::mt19937 dice(static_cast<unsigned>(std::stoul(argv[2])));
  TesseractReader second;
  for (int i = 3; i < argc; ++i) {
    const json truth = json::parse(std::ifstream(argv[i]));
    const std::vector<Truth> writings = writings_of(truth);
    if (writings.empty()) continue;
    const auto file =
        std::filesystem::path(argv[i]).replace_filename(truth.at("file").get<std::string>());
    const auto photo = load_photo(file);
    if (!photo) {
      std::cerr << photo.error().where << ": " << photo.error().message << "\n";
      return 65;
    }
    for (const Truth& w : writings) {
      json line = read_one(*photo, w, *nets, second, dice);
      line["file"] = truth.at("file");
      std::cout << line.dump() << "\n";
    }
    if (!second.note().empty()) {
      std::cerr << second.note() << "\n";
      return 70;
    }
  }
  return 0;
}

}  // namespace
}  // namespace plumbstack

int main(int argc, char** argv) {
  try {
    return plumbstack::run(argc, argv);
  } catch (const std::exception& fault) {
    std::cerr << "read_twice: " << fault.what() << "\n";
    return 65;
  }
}
