// The network reads each writing from the full photo, both ways round. What the first look reads is
// looked at again in two other framings: where the finder's box is off one of them fits better, and
// a sure answer holds in all.
#include <algorithm>
#include <map>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFirstFraming = 1.0, kOtherFramings[] = {0.88, 1.14};
const cv::Size kCrop(96, 48);                 // px
constexpr double kTextPx = 28, kLongPx = 82;  // height of the text in the crop, its greatest length
constexpr double kSlackMm = 0.5;              // what the strip's borders may be off by

struct Task {  // one writing, one way round
  Writing* writing = nullptr;
  std::size_t strip = 0;
  bool turned = false;
  std::vector<Columns> looks;
};

void look(const Photo& photo, const StackFrame& frame, Nets& nets, double framing,
          const std::vector<Task*>& tasks) {
  if (tasks.empty()) return;
  std::vector<cv::Mat> crops;
  for (const Task* t : tasks) {
    const Writing& w = *t->writing;
    const StripPlace& strip = frame.strips[t->strip];
    const double scale = std::min(kTextPx / w.height_mm, kLongPx / w.length_mm) * framing;
    crops.push_back(grey_crop(photo, frame.view,
                              {w.centre_mm, double(w.rotation_deg + (t->turned ? 180 : 0)), scale,
                               kCrop, strip.top_mm - kSlackMm, strip.bottom_mm + kSlackMm}));
  }
  nets.reader.setInput(cv::dnn::blobFromImages(crops));
  const cv::Mat out = nets.reader.forward();
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->looks.push_back(
        columns_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.reader_temperature));
}

// The text that is most probable over all looks.
Reading reading_of(const std::vector<Columns>& looks) {
  std::map<std::string, double> candidates;
  for (const Columns& columns : looks) candidates[likely_text(columns)] = 0;
  Reading best;
  for (auto& [text, probability] : candidates) {
    for (const Columns& columns : looks)
      probability += probability_of(text, columns) / double(looks.size());
    if (probability > best.score) best = {text, probability};
  }
  return best;
}

}  // namespace

void NetReader::read(const Photo& photo, const StackFrame& frame,
                     std::vector<std::vector<Writing>>& writings) {
  std::vector<Task> tasks;
  for (std::size_t strip = 0; strip < writings.size(); ++strip)
    for (Writing& w : writings[strip])
      for (const bool turned : {false, true}) tasks.push_back({&w, strip, turned, {}});
  std::vector<Task*> all, again;
  for (Task& t : tasks) all.push_back(&t);
  look(photo, frame, nets_, kFirstFraming, all);
  for (Task& t : tasks)
    if (!likely_text(t.looks.front()).empty()) again.push_back(&t);
  for (const double framing : kOtherFramings) look(photo, frame, nets_, framing, again);
  for (const Task& t : tasks)
    (t.turned ? t.writing->turned : t.writing->upright) = reading_of(t.looks);
}

}  // namespace plumbstack
