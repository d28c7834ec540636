// Faults are told by shape as well as colour: a good strip has a thin outline, a wrong one a thick
// double outline with a cross at its rim, an unsure one a dashed outline. Labels stand beside the
// stack, never over its marks.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <opencv2/imgproc.hpp>

#include "plumbstack/record.hpp"

namespace plumbstack {
namespace {

const cv::Scalar kGood(180, 140, 30), kWrong(20, 90, 230), kUnsure(40, 200, 240), kDark(25, 25, 25),
    kLight(250, 250, 250);

Severity worst_of(const Check& check, const std::string& side, int slot) {
  Severity worst = Severity::note;
  for (const Finding& f : check.judgement.findings)
    if ((f.side.empty() || f.side == side) &&
        std::find(f.slots.begin(), f.slots.end(), slot) != f.slots.end())
      worst = std::max(worst, f.severity);
  return worst;
}

void dashed(cv::Mat& on, cv::Point2d a, cv::Point2d b, const cv::Scalar& color, int wide) {
  const double length = cv::norm(b - a), dash = std::max(6.0, 4.0 * wide);
  for (double at = 0; at < length; at += 2 * dash)
    cv::line(on, a + (b - a) * (at / length), a + (b - a) * (std::min(length, at + dash) / length),
             color, wide, cv::LINE_AA);
}

void outline(cv::Mat& on, const Quad& q, Severity severity, int wide) {
  for (std::size_t i = 0; i < 4; ++i) {
    const cv::Point2d a = q[i], b = q[(i + 1) % 4];
    if (severity == Severity::retake)
      dashed(on, a, b, kUnsure, wide * 2);
    else if (severity == Severity::fix)
      cv::line(on, a, b, kDark, wide * 5, cv::LINE_AA),
          cv::line(on, a, b, kWrong, wide * 3, cv::LINE_AA);
    else
      cv::line(on, a, b, kGood, wide, cv::LINE_AA);
  }
}

void label(cv::Mat& on, const std::string& text, cv::Point at, double height,
           const cv::Scalar& back, const cv::Scalar& ink, bool right_aligned) {
  const double scale = height / 24;
  const int wide = std::max(1, static_cast<int>(height / 12));
  int base = 0;
  const cv::Size size = cv::getTextSize(text, cv::FONT_HERSHEY_DUPLEX, scale, wide, &base);
  if (right_aligned) at.x -= size.width;
  at.x = std::clamp(at.x, 2, std::max(2, on.cols - size.width - 2));
  cv::rectangle(on, {at.x - 3, at.y - size.height - 3}, {at.x + size.width + 3, at.y + 4}, back,
                cv::FILLED);
  cv::putText(on, text, at, cv::FONT_HERSHEY_DUPLEX, scale, ink, wide, cv::LINE_AA);
}

std::string reading_text(const Side& side, const SlotMarks& m) {
  std::string text;
  if (side.number) text += m.number.text.value_or("?");
  if (side.vent)
    text += std::string(text.empty() ? "" : " ") +
            (m.vent.end ? (*m.vent.end == End::left ? "vent<" : "vent>") : "vent?");
  if (side.sign)
    text += std::string(text.empty() ? "" : " ") + (m.sign.sign ? name_of(*m.sign.sign) : "?");
  char mm[24];
  if (m.stagger_mm && std::abs(*m.stagger_mm) > 0.6)
    std::snprintf(mm, sizeof mm, " %+.1fmm", *m.stagger_mm), text += mm;
  return text;
}

void banner(cv::Mat& on, Verdict verdict, const std::string& side) {
  const int height = std::max(40, on.rows / 16);
  const cv::Scalar back = verdict == Verdict::pass  ? cv::Scalar(120, 90, 0)
                          : verdict == Verdict::fix ? cv::Scalar(10, 40, 150)
                                                    : cv::Scalar(60, 190, 240);
  const cv::Scalar ink = verdict == Verdict::retake ? kDark : kLight;
  const std::string word = verdict == Verdict::pass  ? "PASS"
                           : verdict == Verdict::fix ? "FIX"
                                                     : "RETAKE";
  cv::rectangle(on, {0, 0}, {on.cols, height}, back, cv::FILLED);
  cv::putText(on, word + "   " + side, {height / 3, height * 3 / 4}, cv::FONT_HERSHEY_DUPLEX,
              height / 36.0, ink, std::max(2, height / 14), cv::LINE_AA);
}

}  // namespace

cv::Mat annotated_photo(const Pack& pack, const Check& check, std::size_t index) {
  const CheckedPhoto& checked = check.photos[index];
  cv::Mat on = checked.photo.pixels.clone();
  const Side* side = pack.side(checked.side);
  const int wide = std::max(1, static_cast<int>(std::lround(std::max(on.cols, on.rows) / 1400.0)));
  const auto& slots = checked.evidence.marks.slots;
  for (int pass = 0; pass < 2; ++pass)  // faults on top
    for (std::size_t i = 0; i < slots.size(); ++i) {
      const int slot = static_cast<int>(i) + 1;
      const Severity severity = worst_of(check, checked.side, slot);
      if ((severity == Severity::fix) != (pass == 1)) continue;
      const Quad& q = slots[i].face_in_photo;
      outline(on, q, severity, wide);
      const double room = std::min(cv::norm(q[3] - q[0]), cv::norm(q[2] - q[1]));
      const double height = std::clamp(room * 0.5, 9.0, 60.0);
      const cv::Point2d left = (q[0] + q[3]) / 2, right = (q[1] + q[2]) / 2,
                        away = (right - left) / cv::norm(right - left);
      const bool lying = std::abs(away.y) > std::abs(away.x);
      const cv::Point2d drop(0, height / 3);
      const cv::Scalar back = severity == Severity::fix      ? kWrong
                              : severity == Severity::retake ? kUnsure
                                                             : kDark;
      const cv::Scalar ink = severity == Severity::retake ? kDark : kLight;
      const double off = lying ? (i % 2 ? 2.4 : 1.2) * height : height;
      label(on, std::to_string(slot), left - away * off + drop, height, kLight, kDark,
            away.x > 0.3);
      if (side)
        label(on,
              (severity == Severity::fix      ? "X "
               : severity == Severity::retake ? "? "
                                              : "") +
                  reading_text(*side, slots[i]),
              right + away * off + drop, height, back, ink, away.x < -0.3);
    }
  banner(on, check.judgement.side_verdicts[index], checked.side);
  return on;
}

}  // namespace plumbstack
