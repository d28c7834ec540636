// What the drawn photo shows, exactly: geometry from the camera, states from the plan, and what is
// covered from the map of everything drawn in front of the side.
#include <cmath>

#include "faults.hpp"
#include "scene.hpp"

namespace scene {
namespace {

using Json = nlohmann::ordered_json;

Json point(cv::Point2d p) {
  return {std::round(p.x * 100) / 100, std::round(p.y * 100) / 100};
}

double share_covered(const cv::Mat& cover, const std::vector<cv::Point2d>& at) {
  int covered = 0;
  for (const cv::Point2d& p : at) {
    const cv::Point q(static_cast<int>(std::lround(p.x / 4)),
                      static_cast<int>(std::lround(p.y / 4)));
    if (!cv::Rect({}, cover.size()).contains(q) || cover.at<uchar>(q) > 127) ++covered;
  }
  return double(covered) / static_cast<double>(at.size());
}

// Nine by five points over a box of the strip, in photo pixels.
std::vector<cv::Point2d> spread(const Camera& camera, cv::Point2d centre, cv::Size2d size) {
  std::vector<cv::Point2d> points;
  for (int j = -2; j <= 2; ++j)
    for (int i = -4; i <= 4; ++i)
      points.push_back(
          camera.project(centre.x + i * size.width / 8, centre.y + j * size.height / 4));
  return points;
}

Json quad_of(const Camera& camera, cv::Point2d centre, cv::Size2d text_mm, double turn_deg) {
  const double a = turn_deg * CV_PI / 180, w = text_mm.width / 2, h = text_mm.height / 2;
  const cv::Point2d along(std::cos(a), std::sin(a)), down(-std::sin(a), std::cos(a));
  Json quad = Json::array();
  for (const auto& [u, v] : {std::pair{-w, -h}, {w, -h}, {w, h}, {-w, h}}) {
    const cv::Point2d p = centre + along * u + down * v;
    quad.push_back(point(camera.project(p.x, p.y)));
  }
  return quad;
}

Json end_name(double x, double strip) {
  if (std::abs(x - strip / 2) <= 0.12 * strip) return nullptr;
  return x < strip / 2 ? "left" : "right";
}

Json writings(const Camera& camera, const Module& m, const std::vector<cv::Size2d>& sizes,
              const cv::Mat& cover, double strip, Json& sequence) {
  Json all = Json::array();
  sequence = nullptr;
  for (std::size_t i = 0; i < m.writings.size(); ++i) {
    const Writing& w = m.writings[i];
    if (sizes[i].area() <= 0) continue;
    const cv::Point2d at(w.x + m.stagger, w.y + m.top);
    const bool along = w.rotation_deg % 180 == 0;
    const cv::Size2d box = along ? sizes[i] : cv::Size2d(sizes[i].height, sizes[i].width);
    const double covered = share_covered(cover, spread(camera, at, box));
    Json one{{"text", w.text},
             {"quad", quad_of(camera, at, sizes[i], w.rotation_deg + w.tilt_deg)},
             {"rotation_deg", w.rotation_deg},
             {"sequence", w.sequence},
             {"covered", covered > 0.2}};
    all.push_back(one);
    if (!w.sequence) continue;
    const bool hard = covered > 0.05 || w.height * camera.px_per_mm() < 14;
    if (covered > 0.2)
      sequence = "covered";
    else
      sequence = {{"text", w.text},
                  {"quad", one["quad"]},
                  {"rotation_deg", w.rotation_deg},
                  {"end", end_name(w.x, strip)},
                  {"hard", hard}};
  }
  return all;
}

Json slot_truth(const SidePlan& plan, const Camera& camera, const FaceDrawing& drawing,
                const cv::Mat& cover, std::size_t k) {
  const Module& m = plan.stack[k];
  const double l = m.stagger, r = plan.strip + m.stagger, t = m.top, b = m.top + plan.thickness;
  const std::vector<cv::Point2d> face{camera.project(l, t), camera.project(r, t),
                                      camera.project(r, b), camera.project(l, b)};
  Json slot{{"slot", k + 1}};
  slot["seen"] = share_covered(cover, spread(camera, {(l + r) / 2, (t + b) / 2},
                                             {plan.strip, plan.thickness})) < 0.6;
  slot["face"] = Json::array();
  for (const cv::Point2d& p : face) slot["face"].push_back(point(p));
  Json sequence;
  slot["writing"] = writings(camera, m, drawing.writing_mm[k], cover, plan.strip, sequence);
  if (plan.has_number && sequence != "covered") slot["number"] = sequence;
  slot["vents"] = Json::array();
  slot["signs"] = Json::array();
  for (const MarkAt& mark : m.marks) {
    if (mark.kind == 'P' || mark.kind == 'M') continue;
    const cv::Point2d at(mark.x + m.stagger, mark.y + m.top);
    if (mark.kind == 'p' || mark.kind == 'm') {
      slot["studs"].push_back(point(camera.project(at.x, at.y)));
      continue;
    }
    const double share = mark.under_stud ? 1 : share_covered(cover, spread(camera, at, {8, 8}));
    const bool covered = share > 0.35;
    Json one{{"centre", point(camera.project(at.x, at.y))},
             {"covered", covered},
             {"covered_share", share}};
    if (mark.kind == 'v') {
      slot["vents"].push_back(one);
      if (!covered) slot["vent"] = {{"end", mark.x < plan.strip / 2 ? "left" : "right"}};
      continue;
    }
    one["sign"] = std::string(1, mark.kind);
    if (mark.under_stud) one["under_stud"] = true;
    slot["signs"].push_back(one);
    const bool at_named =
        plan.sign_end == "any" || (plan.sign_end == "left") == (mark.x < plan.strip / 2);
    if (!covered)
      slot["sign"] = {{"sign", std::string(1, at_named           ? mark.kind
                                              : mark.kind == '+' ? '-'
                                                                 : '+')},
                      {"hard", camera.px_per_mm() < 2.2}};
  }
  slot["stagger_mm"] = std::round(m.stagger * 1000) / 1000;
  return slot;
}

Json pack_of(const SidePlan& plan) {
  Json side{{"strip_mm", plan.strip}};
  if (plan.has_number) {
    side["number"] = {
        {"first", plan.first}, {"end", plan.number_end}, {"rotation_deg", plan.number_rotation}};
  }
  if (plan.has_vent) side["vent"] = {{"slot_1_end", plan.vent_slot_1_end}};
  if (plan.has_sign) {
    side["sign"] = {{"slot_1", std::string(1, plan.sign_slot_1)}, {"end", plan.sign_end}};
    if (plan.red_plus) side["sign"]["colors"] = {{"+", "red"}};
    if (plan.coloured_minus) side["sign"]["colors"]["-"] = plan.minus_color;
  }
  Json pack{{"schema", "plumbstack/pack/1"},
            {"id", "scene"},
            {"name", "drawn scene"},
            {"modules", plan.declared_modules}};
  pack["module_mm"] = {{"length", plan.length},
                       {"height", plan.height},
                       {"thickness", plan.thickness},
                       {"pitch", plan.pitch}};
  pack["sides"] = {{plan.name, side}};
  pack["stagger_limit_mm"] = plan.stagger_limit;
  pack["seat_gap_limit_mm"] = plan.gap_limit;
  pack["slot_1_up"] = plan.slot_1_up;
  return pack;
}

// The best verdict and every fair one. What a person could hardly tell (near a limit, hard marks,
// covered or unseen strips) makes more than one verdict fair.
void add_verdict(const SidePlan& plan, Json& truth) {
  truth["findings"] = findings_of(plan, plan.texts);
  const bool faulty = !truth["findings"].empty();
  bool hidden = plan.capture_fault == "blur" || plan.capture_fault == "dark", hard = false,
       near = false;
  for (const Json& slot : truth["slots"]) {
    hidden |= !slot["seen"];
    const bool turn_seen = slot.contains("vent") || slot.contains("sign");
    hidden |= (plan.has_vent || plan.has_sign) && !turn_seen;
    hidden |= plan.has_number && !slot.contains("number");
    hard |= slot.contains("number") && !slot["number"].is_null() && slot["number"]["hard"];
    hard |= slot.contains("sign") && slot["sign"]["hard"] && !slot.contains("vent");
  }
  for (const Module& m : plan.stack) {
    near |= std::abs(std::abs(m.stagger) - plan.stagger_limit) < 0.35;
    near |= std::abs(m.gap_after - plan.gap_limit) < 0.8;
  }
  truth["expect"] = hidden ? "retake" : faulty ? "fix" : "pass";
  std::vector<std::string> accept{truth["expect"]};
  if (hidden && faulty) accept.push_back("fix");
  if (!hidden && (hard || plan.declared_modules != plan.modules || plan.capture_fault != "none"))
    accept.push_back("retake");
  bool only_near = true;  // nothing wrong but a displacement that is close to its limit
  for (const Json& f : truth["findings"])
    only_near &= f["code"] == "stagger.over" || f["code"] == "seat.gap";
  if (near && !hidden && only_near) accept.push_back(faulty ? "pass" : "fix");
  if (near && hidden && !faulty) accept.push_back("fix");
  truth["accept"] = accept;
}

}  // namespace

Json truth_of(const SidePlan& plan, const Camera& camera, const FaceDrawing& drawing,
              const cv::Mat& cover) {
  Json truth{{"side", plan.name},
             {"width", camera.photo.width},
             {"height", camera.photo.height},
             {"exif_orientation", 1}};
  truth["pack"] = pack_of(plan);
  truth["slot_1_at"] = plan.slot_1_at;
  truth["fault"] = plan.fault;
  truth["capture_fault"] = plan.capture_fault;
  const cv::Matx33d h = camera.photo_from_stack();
  truth["view"] = {{"photo_from_stack", std::vector<double>(h.val, h.val + 9)},
                   {"k1", camera.k1},
                   {"centre", {camera.centre().x, camera.centre().y}},
                   {"half_diagonal", camera.half_diagonal()}};
  truth["strips_mm"] = Json::array();
  truth["gap_mm"] = Json::array();
  truth["slots"] = Json::array();
  for (std::size_t k = 0; k < plan.stack.size(); ++k) {
    const Module& m = plan.stack[k];
    truth["strips_mm"].push_back({{"top", m.top},
                                  {"bottom", m.top + plan.thickness},
                                  {"left", m.stagger},
                                  {"right", plan.strip + m.stagger}});
    truth["gap_mm"].push_back(m.gap_after);
    truth["slots"].push_back(slot_truth(plan, camera, drawing, cover, k));
  }
  add_verdict(plan, truth);
  return truth;
}

}  // namespace scene
