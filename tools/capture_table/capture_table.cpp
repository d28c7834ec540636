// What the capture gate catches and what it sends back in vain, on drawn scenes with truth. The
// frame and the cover come from the truth, so that the gate alone is measured.
//
//   capture_table SCENE.truth.json...
#include <algorithm>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <opencv2/calib3d.hpp>
#include <opencv2/imgcodecs.hpp>

#include "capture_gate.hpp"
#include "plumbstack/strips.hpp"

namespace {

using namespace plumbstack;
using Json = nlohmann::json;

PlaneView view_of(const Json& truth) {
  PlaneView view;
  const auto h = truth["photo_from_stack"].get<std::vector<double>>();
  view.photo_from_stack = cv::Matx33d(h.data());
  view.k1 = truth["k1"];
  view.centre = {truth["centre"][0], truth["centre"][1]};
  view.half_diagonal = truth["half_diagonal"];
  return view;
}

// Photos whose truth has the strips' quads only: the plane through them, without lens distortion.
StackFrame frame_from_faces(const Json& truth, cv::Size photo) {
  const double thickness = truth["pack"]["module_mm"]["thickness"];
  const double pitch = truth["pack"]["module_mm"].value("pitch", thickness);
  const double strip = truth["pack"]["sides"].begin().value()["strip_mm"];
  StackFrame frame;
  std::vector<cv::Point2d> mm, px;
  for (const Json& slot : truth["slots"]) {
    StripPlace place;
    place.top_mm = pitch * double(frame.strips.size());
    place.bottom_mm = place.top_mm + thickness, place.right_mm = strip;
    for (const cv::Point2d& p : {cv::Point2d(0, place.top_mm),
                                 {strip, place.top_mm},
                                 {strip, place.bottom_mm},
                                 {0, place.bottom_mm}})
      mm.push_back(p);
    for (const Json& p : slot["face"]) px.emplace_back(p[0].get<double>(), p[1].get<double>());
    frame.strips.push_back(place);
  }
  frame.view.photo_from_stack =
      cv::Matx33d(cv::findHomography(mm, px, cv::RANSAC, 8).ptr<double>());
  frame.view.centre = {photo.width / 2.0, photo.height / 2.0};
  frame.view.half_diagonal = std::hypot(photo.width, photo.height) / 2;
  return frame;
}

StackFrame frame_of(const Json& truth, cv::Size photo) {
  if (!truth.contains("view")) return frame_from_faces(truth, photo);
  StackFrame frame;
  frame.view = view_of(truth["view"]);
  for (const Json& s : truth["strips_mm"]) {
    StripPlace place;
    place.top_mm = s["top"], place.bottom_mm = s["bottom"];
    place.left_mm = s["left"], place.right_mm = s["right"];
    frame.strips.push_back(place);
  }
  return frame;
}

// Sets what find_stack would: share covered, and whether the strip lies in the photo.
void look_for_cover(StackFrame& frame, const cv::Mat& quarter, cv::Size photo) {
  for (StripPlace& s : frame.strips) {
    int inside = 0, covered = 0, all = 0;
    for (int i = 0; i <= 100; ++i)
      for (int j = 0; j <= 6; ++j, ++all) {
        const cv::Point2d p = frame.view.to_photo({s.left_mm + (s.right_mm - s.left_mm) * i / 100,
                                                   s.top_mm + (s.bottom_mm - s.top_mm) * j / 6});
        if (!cv::Rect2d({}, cv::Size2d(photo)).contains(p)) continue;
        ++inside;
        const cv::Point q(cvRound(p.x / 4), cvRound(p.y / 4));
        covered += cv::Rect({}, quarter.size()).contains(q) && quarter.at<uchar>(q) > 127;
      }
    s.in_photo = inside >= 0.9 * all;
    s.cover = double(covered) / all;
  }
}

struct Row {
  int photos = 0, any = 0;
  std::map<std::string, int> found;
};

}  // namespace

int main(int argc, char** argv) {
  cv::setNumThreads(1);
  std::map<std::string, Row> table;
  double slowest = 0;
  for (int i = 1; i < argc; ++i) {
    const std::string file = argv[i], stem = file.substr(0, file.rfind(".truth.json"));
    std::ifstream in(file);
    const Json truth = Json::parse(in);
    if (truth["slots"].empty()) continue;
    Photo photo;
    photo.pixels = cv::imread(stem + ".jpg");
    StackFrame frame = frame_of(truth, photo.pixels.size());
    cv::Mat cover;
    if (std::ifstream(stem + ".cover.pgm"))
      cover = cv::imread(stem + ".cover.pgm", cv::IMREAD_GRAYSCALE);
    look_for_cover(frame, cover, photo.pixels.size());
    const std::clock_t start = std::clock();  // of the processor: the machine may be busy
    const std::vector<StripCut> cuts = cut_strips(photo, frame);
    const double ms = 1000.0 * double(std::clock() - start) / CLOCKS_PER_SEC;
    slowest = std::max(slowest, ms);
    std::vector<SlotCapture> slots;
    for (std::size_t k = 0; k < cuts.size(); ++k)
      slots.push_back({cuts[k].figures, frame.strips[k].cover, frame.strips[k].in_photo});
    const std::string fault = truth["capture_fault"];
    Row& row = table[fault];
    const auto findings = capture_findings("", slots);
    ++row.photos, row.any += !findings.empty();
    std::cout << stem << "  " << fault << "  " << cvRound(ms) << " ms";
    for (const Finding& f : findings)
      ++row.found[f.code], std::cout << "  " << f.code << ": " << f.message;
    std::cout << "\n";
  }
  std::printf("\n%-10s %6s %6s %8s %8s %8s %8s\n", "drawn as", "photos", "any", "blurred", "dark",
              "glare", "covered");
  for (auto& [fault, row] : table)
    std::printf("%-10s %6d %6d %8d %8d %8d %8d\n", fault.c_str(), row.photos, row.any,
                row.found["photo.blurred"], row.found["photo.dark"], row.found["photo.glare"],
                row.found["photo.covered"]);
  std::printf("slowest strips stage %.0f ms on one core\n", slowest);
}
