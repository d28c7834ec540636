// Blur and darkness come over a part of the stack, never over one strip: a strip is judged by the
// median of itself and its neighbours. Glare and cover have edges and are judged strip by strip.
#include "capture_gate.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>

namespace plumbstack {
namespace {

using Figure = std::function<double(const SlotCapture&)>;

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  const auto at =
      values.begin() + static_cast<std::ptrdiff_t>(std::floor(share * double(values.size() - 1)));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

std::vector<double> values_of(const std::vector<SlotCapture>& slots, const Figure& figure) {
  std::vector<double> values;
  for (const SlotCapture& s : slots)
    if (s.in_photo) values.push_back(figure(s));
  return values;
}

std::vector<double> positive(std::vector<double> values) {
  values.erase(std::remove_if(values.begin(), values.end(), [](double v) { return v <= 0; }),
               values.end());
  return values;
}

std::vector<SlotCapture> around(const std::vector<SlotCapture>& slots, std::size_t slot) {
  constexpr std::size_t kReach = 2;
  const std::size_t first = slot > kReach ? slot - kReach : 0,
                    end = std::min(slots.size(), slot + kReach + 1);
  return {slots.begin() + static_cast<std::ptrdiff_t>(first),
          slots.begin() + static_cast<std::ptrdiff_t>(end)};
}

using SlotTest = std::function<bool(std::size_t)>;

std::vector<int> slots_where(const std::vector<SlotCapture>& slots, const SlotTest& test) {
  std::vector<int> found;
  for (std::size_t i = 0; i < slots.size(); ++i)
    if (slots[i].in_photo && test(i)) found.push_back(static_cast<int>(i) + 1);
  return found;
}

std::vector<int> blurred_slots(const std::vector<SlotCapture>& slots, const CaptureBar& bar) {
  return slots_where(slots, [&](std::size_t i) {
    const auto near = around(slots, i);
    const auto px =
        positive(values_of(near, [](const SlotCapture& s) { return s.figures.blur_px; }));
    const auto mm =
        positive(values_of(near, [](const SlotCapture& s) { return s.figures.blur_mm; }));
    return px.size() >= 2 && quantile(px, 0.5) > bar.blur_px && quantile(mm, 0.5) > bar.blur_mm;
  });
}

std::vector<int> dark_slots(const std::vector<SlotCapture>& slots, const CaptureBar& bar) {
  return slots_where(slots, [&](std::size_t i) {
    const auto near = around(slots, i);
    const auto median = [&](const Figure& figure) {
      return quantile(values_of(near, figure), 0.5);
    };
    const double level = median([](const SlotCapture& s) { return s.figures.exposure; });
    const double contrast = median([](const SlotCapture& s) { return s.figures.contrast; });
    const double noise = median([](const SlotCapture& s) { return s.figures.noise; });
    return (level < bar.dim && contrast < bar.contrast) ||
           (level < bar.noisy_dim && contrast < bar.contrast_to_noise * noise);
  });
}

std::vector<int> glared_slots(const std::vector<SlotCapture>& slots, const CaptureBar& bar) {
  const Figure glare = [](const SlotCapture& s) { return s.figures.glare; };
  const double along = quantile(values_of(slots, glare), 0.25);  // a strap clipped white
  return slots_where(slots, [&](std::size_t i) {
    return glare(slots[i]) - along > bar.glare || glare(slots[i]) > bar.washed_out;
  });
}

// Slots whose cover is no glare: the cover plane shows that too.
std::vector<int> covered_slots(const std::vector<SlotCapture>& slots,
                               const std::vector<int>& glared, const CaptureBar& bar) {
  const Figure cover = [](const SlotCapture& s) { return s.cover; };
  const double along = quantile(values_of(slots, cover), 0.5);
  return slots_where(slots, [&](std::size_t i) {
    const bool glare = std::binary_search(glared.begin(), glared.end(), static_cast<int>(i) + 1) ||
                       slots[i].figures.glare > 0.5 * (cover(slots[i]) - along);
    return !glare && cover(slots[i]) - along > bar.cover;
  });
}

std::string blur_advice(const std::vector<SlotCapture>& slots) {
  constexpr double kCoarse = 2;  // px per mm: a number of 8 mm has 16 px
  const double scale =
      quantile(values_of(slots, [](const SlotCapture& s) { return s.figures.resolution; }), 0.5);
  std::string text = "hold the camera still, tap on the stack so that it focuses there";
  if (scale < kCoarse) text += ", move closer";
  return text + ", and photograph again";
}

}  // namespace

std::vector<Finding> capture_findings(const std::string& side,
                                      const std::vector<SlotCapture>& slots, bool numbered,
                                      const CaptureBar& bar) {
  std::vector<Finding> found;
  const auto place = [&](const std::vector<int>& where) {
    return numbered ? slots_text(where) : std::string("part of the stack");
  };
  const auto add = [&](const char* code, const std::vector<int>& where, const char* what,
                       std::string action) {
    if (!where.empty())
      found.push_back({code, Severity::retake, side, numbered ? where : std::vector<int>{},
                       place(where) + what, std::move(action)});
  };
  const auto many = [&](std::vector<int> where, double share) {
    return double(where.size()) >= std::max(2.0, share * double(slots.size())) ? where
                                                                               : std::vector<int>{};
  };
  add("photo.blurred", many(blurred_slots(slots, bar), bar.blurred_slots), ": the photo is blurred",
      blur_advice(slots));
  add("photo.dark", many(dark_slots(slots, bar), bar.dark_slots), ": too dark to read",
      "bring more light, from the side so that it doesn't mirror, and photograph again");
  const std::vector<int> glared = glared_slots(slots, bar);
  add("photo.glare", glared, ": reflected light hides a part",
      "shade the lamp or switch the flash off, or take the photo from another angle");
  const std::vector<int> covered = covered_slots(slots, glared, bar);
  add("photo.covered", covered, ": something lies in front",
      "remove what hides " + place(covered) + " (a hand, a cable, a rag) and photograph again");
  return found;
}

CaptureFigures capture_figures(const std::vector<SlotCapture>& slots) {
  const auto median = [&](const Figure& figure) { return quantile(values_of(slots, figure), 0.5); };
  CaptureFigures figures;
  figures.blur_px = quantile(
      positive(values_of(slots, [](const SlotCapture& s) { return s.figures.blur_px; })), 0.5);
  constexpr double kSharp = 0.5;  // px: as sharp as pixels allow
  figures.sharpness = figures.blur_px > 0 ? std::min(1.0, kSharp / figures.blur_px) : 0;
  const auto glare = values_of(slots, [](const SlotCapture& s) { return s.figures.glare; });
  for (const double share : glare) figures.glare += share / double(glare.size());
  figures.exposure = median([](const SlotCapture& s) { return s.figures.exposure; });
  const double scale = median([](const SlotCapture& s) { return s.figures.resolution; });
  figures.mm_per_px = scale > 0 ? 1 / scale : 0;
  return figures;
}

}  // namespace plumbstack
