#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "suite.hpp"

namespace plumbstack::suite {
namespace {

using Json = nlohmann::json;

std::string opposite_edge(const std::string& edge) {
  if (edge == "top") return "bottom";
  if (edge == "bottom") return "top";
  return edge == "left" ? "right" : "left";
}

}  // namespace

cv::Mat varied(const cv::Mat& bgr, const std::string& variant) {
  cv::Mat out = bgr;
  if (variant == "darker") bgr.convertTo(out, -1, 0.6);
  if (variant == "turned") cv::rotate(bgr, out, cv::ROTATE_180);
  return out;
}

int jpeg_quality(const std::string& variant) {
  return variant == "recompressed" ? 60 : 92;
}

Json varied(const Json& truth, const std::string& variant) {
  Json out = truth;
  if (variant != "turned" || !truth.contains("slot_1_at")) return out;
  out["slot_1_at"] = opposite_edge(truth["slot_1_at"]);
  if (!truth["pack"].value("slot_1_up", false)) return out;
  Json findings = Json::array();
  for (const Json& finding : truth["findings"])
    if (finding["code"] != "stack.reversed") findings.push_back(finding);
  if (out["slot_1_at"] != "top")
    findings.push_back({{"code", "stack.reversed"}, {"slots", Json::array()}});
  // What could not be told before can't be told now; a fault may be stated all the same.
  const bool hidden = truth["expect"] == "retake", faulty = !findings.empty();
  const auto& fair = truth["accept"];
  out["expect"] = hidden ? "retake" : faulty ? "fix" : "pass";
  out["accept"] = Json::array({out["expect"]});
  if (hidden && faulty) out["accept"].push_back("fix");
  if (!hidden && std::count(fair.begin(), fair.end(), "retake") > 0)
    out["accept"].push_back("retake");
  out["findings"] = findings;
  return out;
}

}  // namespace plumbstack::suite
