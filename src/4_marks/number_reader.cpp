// Two networks of different make read each writing from the full photo: one decides column by
// column, one by length and places. The first looks both ways round; what it reads is looked at by
// both in three framings: where the finder's box is off one of them fits better, and a sure answer
// holds in all looks of both.
#include <algorithm>
#include <set>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

constexpr double kFirstFraming = 1.0, kOtherFramings[] = {0.88, 1.14};
const cv::Size kCrop(96, 48);                 // px
constexpr double kTextPx = 28, kLongPx = 82;  // height of the text in the crop, its greatest length
constexpr double kPlacesShare = 0.7;          // of that network in the whole: what reads held-out
                                              // crops best
constexpr double kSurelyNothing = 0.95;       // of the first look: no use to look again
constexpr double kSlackMm = 0.5;              // what the strip's borders may be off by

struct Task {  // one writing, one way round
  Writing* writing = nullptr;
  std::size_t strip = 0;
  bool turned = false;
  std::vector<Columns> columns;
  std::vector<Places> places;
};

cv::Mat crops_of(const Photo& photo, const StackFrame& frame, double framing,
                 const std::vector<Task*>& tasks) {
  std::vector<cv::Mat> crops;
  for (const Task* t : tasks) {
    const Writing& w = *t->writing;
    const StripPlace& strip = frame.strips[t->strip];
    const double scale = std::min(kTextPx / w.height_mm, kLongPx / w.length_mm) * framing;
    crops.push_back(grey_crop(photo, frame.view,
                              {w.centre_mm, double(w.rotation_deg + (t->turned ? 180 : 0)), scale,
                               kCrop, strip.top_mm - kSlackMm, strip.bottom_mm + kSlackMm}));
  }
  return cv::dnn::blobFromImages(crops);
}

void read_columns(const cv::Mat& crops, Nets& nets, const std::vector<Task*>& tasks) {
  nets.reader.setInput(crops);
  const cv::Mat out = nets.reader.forward();
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->columns.push_back(
        columns_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.reader_temperature));
}

void read_places(const cv::Mat& crops, Nets& nets, const std::vector<Task*>& tasks) {
  nets.places.setInput(crops);
  const cv::Mat out = nets.places.forward();
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->places.push_back(
        places_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.places_temperature));
}

template <typename Looks>
double mean_probability(const std::string& text, const Looks& looks) {
  double sum = 0;
  for (const auto& one : looks) sum += probability_of(text, one);
  return sum / double(looks.size());
}

// The text that is most probable over all looks.
Reading reading_of(const Task& task) {
  std::set<std::string> candidates;
  for (const Columns& c : task.columns) candidates.insert(likely_text(c));
  for (const Places& p : task.places) candidates.insert(likely_text(p));
  Reading best;
  for (const std::string& text : candidates) {
    double probability = mean_probability(text, task.columns);
    if (!task.places.empty()) probability = (probability + mean_probability(text, task.places)) / 2;
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
      for (const bool turned : {false, true}) tasks.push_back({&w, strip, turned, {}, {}});
  std::vector<Task*> all, again;
  for (Task& t : tasks) all.push_back(&t);
  if (all.empty()) return;
  read_columns(crops_of(photo, frame, kFirstFraming, all), nets_, all);
  for (Task& t : tasks)
    if (probability_of("", t.columns.front()) < kSurelyNothing) again.push_back(&t);
  if (!again.empty()) read_places(crops_of(photo, frame, kFirstFraming, again), nets_, again);
  for (const double framing : kOtherFramings) {
    if (again.empty()) break;
    const cv::Mat crops = crops_of(photo, frame, framing, again);
    read_columns(crops, nets_, again), read_places(crops, nets_, again);
  }
  for (const Task& t : tasks) (t.turned ? t.writing->turned : t.writing->upright) = reading_of(t);
}

}  // namespace plumbstack
