// Runs the product's own stages over drawn scenes and prints, for every reading, its score and
// whether it was right: what the calibration tables and the weights of module_odds.cpp are made
// from.
//   mark_scores NETS TRUTH.json...
// Rows, parted by tabs: number|vent|sign SCORE RIGHT READ TRUE and what the score is made of, and
// outer BORDER LEFT RIGHT MISFIT SURFACE IS_MODULE for the outer intervals of a chain on a side
// that is rectified nearly exactly; # FILE before those of a scene.
#include <algorithm>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <opencv2/imgproc.hpp>
#include <random>

#include "parts.hpp"
#include "plumbstack/read_marks.hpp"

namespace {

using nlohmann::json;
using namespace plumbstack;

struct Scene {
  json truth;
  Pack pack;
  const Side* side = nullptr;
  Photo photo;
};

bool load(const std::string& file, Scene& scene) {
  std::ifstream in(file);
  scene.truth = json::parse(in, nullptr, false);
  if (scene.truth.is_discarded() || scene.truth.value("slots", json::array()).empty()) return false;
  Result<Pack> pack = parse_pack(scene.truth["pack"].dump(), file);
  Result<Photo> photo =
      load_photo(file.substr(0, file.rfind('/') + 1) + scene.truth["file"].get<std::string>());
  if (!pack || !photo) return false;
  scene.pack = std::move(*pack), scene.photo = std::move(*photo);
  scene.side = scene.pack.side(scene.truth["side"].get<std::string>());
  return scene.side != nullptr;
}

Edge edge_named(const std::string& name) {
  return name == "top"      ? Edge::top
         : name == "bottom" ? Edge::bottom
         : name == "left"   ? Edge::left
                            : Edge::right;
}

void say(const char* kind, double score, const std::string& got, const std::string& want) {
  std::printf("%s\t%.5f\t%d\t%s\t%s\n", kind, score, got == want, got.c_str(), want.c_str());
}

std::string text_of(const json& mark, const char* key) {
  return mark.is_object() ? mark[key].get<std::string>() : "none";
}

// Whether the slot's strip is the one that the truth has there; another one says nothing of
// reading.
bool same_strip(const SlotMarks& got, const json& want) {
  cv::Point2d here(0, 0), there(0, 0), axis(0, 0);
  for (std::size_t k = 0; k < 4; ++k) {
    const cv::Point2d corner(want["face"][k][0], want["face"][k][1]);
    here += got.face_in_photo[k] / 4, there += corner / 4;
    axis += corner * (k < 2 ? -0.5 : 0.5);
  }
  return cv::norm(here - there) < cv::norm(axis) / 2;
}

// With what number_probability makes its score of, and whether something lies over the true one.
void say_number(const NumberMark& got, const json& want, const std::string& text) {
  bool hidden = false;
  for (const json& w : want["writing"]) hidden |= w["sequence"] && w["covered"];
  const NumberEvidence& e = got.evidence;
  std::printf("number\t%.5f\t%d\t%s\t%s\t%.6f\t%.6f\t%.6f\t%.6f\t%.5f\t%.3f\t%.4f\t%d\n", got.score,
              *got.text == text, got.text->c_str(), text.c_str(), e.places, e.columns, e.nothing,
              e.way, e.covered, e.off_column, e.others, hidden);
}

// Likewise, for resolve_signs.
void say_sign(const SignMark& got, const std::string& sign) {
  std::printf("sign\t%.5f\t%d\t%s\t%s", got.score, (*got.sign == Sign::plus ? "+" : "-") == sign,
              *got.sign == Sign::plus ? "+" : "-", sign.c_str());
  for (const SignEvidence& e : {got.own, got.far})
    std::printf("\t%.6f\t%.6f\t%.4f\t%.4f\t%d", e.plus, e.minus, e.seen_plus, e.seen_minus,
                !e.color                 ? 0
                : *e.color == Sign::plus ? 1
                                         : -1);
  std::printf("\t%.4f\t%.4f\t%.3f\n", got.paint_alone, got.others, got.lean);
}

// A number that is partly covered is still the whole of it or nothing. Scenes have some written
// across a vent, where nobody can write: unknown.
std::string number_of(const json& want) {
  for (const json& w : want["writing"]) {
    if (!w["sequence"]) continue;
    std::vector<cv::Point2f> quad;
    for (const json& p : w["quad"]) quad.emplace_back(p[0].get<float>(), p[1].get<float>());
    const float height = float(cv::norm(quad[3] - quad[0]));
    for (const json& vent : want["vents"]) {
      const cv::Point2f at(vent["centre"][0].get<float>(), vent["centre"][1].get<float>());
      if (cv::pointPolygonTest(quad, at, true) > -height) return "unknown";
    }
    return w["text"];
  }
  return "none";
}

// What the truth leaves out is covered, and nobody knows what may be read there; but a sign told
// where hardly anything of it shows is guessed, which is wrong even where it happens to be so. A
// sign that the pack gives a colour may be told by a ring or dot that the truth does not list.
std::string sign_of(const json& want, const json& colors) {
  constexpr double kHidden = 0.7;
  if (want.contains("sign")) return text_of(want["sign"], "sign");
  const json& all = want["signs"];
  const bool hidden = std::all_of(all.begin(), all.end(), [&](const json& one) {
    return one.value("covered_share", 0.0) > kHidden && !colors.contains(one.value("sign", ""));
  });
  return hidden ? "hidden" : "unknown";
}

// The end of the vent, a hidden one's by its place: that the other end shows none tells it too.
std::string vent_end(const json& want) {
  if (want.contains("vent")) return text_of(want["vent"], "end");
  if (want["vents"].empty()) return "unknown";
  const auto point = [](const json& p) { return cv::Point2d(p[0], p[1]); };
  const cv::Point2d at = point(want["vents"][0]["centre"]);
  const auto from = [&](std::size_t a, std::size_t b) {
    return cv::norm(at - (point(want["face"][a]) + point(want["face"][b])) / 2);
  };
  return from(0, 3) < from(1, 2) ? "left" : "right";
}

void compare_slot(const SlotMarks& got, const json& want, const json& colors) {
  if (!same_strip(got, want)) return;
  if (const std::string text = number_of(want); got.number.text && text != "unknown")
    say_number(got.number, want, text);
  if (const std::string end = vent_end(want); got.vent.end && end != "unknown")
    say("vent", got.vent.score, *got.vent.end == End::left ? "left" : "right", end);
  if (const std::string sign = sign_of(want, colors); got.sign.sign && sign != "unknown")
    say_sign(got.sign, sign);
}

// Readings of the whole path.
void readings(const Scene& scene, Nets& nets) {
  const auto found = find_stack(scene.photo, scene.pack, *scene.side, nets);
  if (!found || !*found || (*found)->frame.strips.size() != scene.truth["slots"].size()) return;
  const UnorientedMarks read = read_marks(scene.photo, **found, scene.pack, *scene.side, nets);
  const Edge slot_1 = edge_named(scene.truth["slot_1_at"]);
  if (slot_1 != read.marks.first_at && slot_1 != opposite(read.marks.first_at)) return;
  const SideMarks marks = with_slot_1(read, *scene.side, slot_1);
  const json& side = scene.truth["pack"]["sides"][scene.side->name];
  const json colors = side.value("sign", json::object()).value("colors", json::object());
  for (std::size_t i = 0; i < marks.slots.size(); ++i)
    if (marks.slots[i].seen) compare_slot(marks.slots[i], scene.truth["slots"][i], colors);
}

PlaneView true_view(const json& truth) {
  PlaneView view;
  for (int i = 0; i < 9; ++i)
    view.photo_from_stack.val[i] = truth["view"]["photo_from_stack"][std::size_t(i)];
  view.k1 = truth["view"]["k1"];
  view.centre = {truth["view"]["centre"][0], truth["view"]["centre"][1]};
  view.half_diagonal = truth["view"]["half_diagonal"];
  return view;
}

void outer_intervals(const Scene& scene, Nets& nets) {
  const PlaneView view = true_view(scene.truth);
  const json& strips = scene.truth["strips_mm"];
  const double strip = scene.side->strip_mm;
  const auto look = look_at_side(scene.photo, view, {strip, strips.back()["bottom"].get<double>()},
                                 scene.pack.module_mm.pitch, nets, {});
  if (!look) return;
  const auto borders = follow_borders(look->maps, strip, scene.pack.module_mm.pitch);
  const auto chain =
      module_chain(look->maps, look->raster, borders, strip, scene.pack.module_mm).strips;
  for (std::size_t i = 0; i < chain.size(); ++i) {
    if (i >= 4 && i + 4 < chain.size()) continue;
    const double middle = (chain[i].top + chain[i].bottom) / 2;
    bool module = false;
    for (const json& s : strips) module |= middle > s["top"] && middle < s["bottom"];
    const Likeness& l = chain[i].likeness;
    std::printf("outer\t%.4f\t%.4f\t%.4f\t%.4f\t%.4f\t%.4f\t%d\n", l.border, l.left_end,
                l.right_end, l.misfit, l.surface, l.marks, module);
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    std::fprintf(stderr, "usage: mark_scores NETS TRUTH.json...\n");
    return 64;
  }
  Result<Nets> nets = load_nets(argv[1]);
  if (!nets) {
    std::fprintf(stderr, "%s\n", nets.error().message.c_str());
    return 70;
  }
  for (int i = 2; i < argc; ++i) {
    Scene scene;
    if (!load(argv[i], scene)) continue;
    std::printf("# %s\n", argv[i]);
    readings(scene, *nets);
    outer_intervals(scene, *nets);
    std::fflush(stdout);
  }
  return 0;
}
