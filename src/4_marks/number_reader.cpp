// Two networks of different make read each writing from the full photo: one decides column by
// column, one by length and places. The first, the quicker one, looks both ways round and says
// which of a strip's writings can be a number at all; these the second reads too, the likely ones
// in three framings: where the finder's box or slant is off one of them fits better, and a sure
// answer holds in all looks of both.
#include <algorithm>
#include <map>
#include <set>

#include "reader_parts.hpp"

namespace plumbstack {
namespace {

struct Framing {
  double scale = 1, tilt_deg = 0;
};
constexpr Framing kFirstFraming{}, kOtherFramings[] = {{0.88, 6}, {1.12, -6}};
const cv::Size kCrop(96, 48);                 // px
constexpr double kTextPx = 28, kLongPx = 82;  // height of the text in the crop, its greatest length
constexpr double kPlacesShare = 0.8;          // of that network in the whole
constexpr double kSurelyNothing = 0.95;       // of the first look: no use to look again
constexpr double kOtherWay = 0.03;            // of what else reads on the strip: no use to look
constexpr std::size_t kMostPerStrip = 4;      // looks of the second network in its first framing
constexpr double kWorthTheRest = 0.3;         // score after that from which it looks on
constexpr std::size_t kMostDigits = 3;        // no stack has a thousand modules: a capacity figure
constexpr double kSureAtOnce = 0.995;         // score from which no other framing adds to it
constexpr double kHardlyANumber = 0.05;       // score under which nothing is read
constexpr double kSlackMm = 0.5;              // what the strip's borders may be off by

struct Task {  // one writing, one way round
  Writing* writing = nullptr;
  std::size_t strip = 0;
  bool turned = false;
  Columns columns;
  std::vector<Places> places;
};

cv::Mat crops_of(const Photo& photo, const StackFrame& frame, const Framing& framing,
                 const std::vector<Task*>& tasks) {
  std::vector<cv::Mat> crops;
  for (const Task* t : tasks) {
    const Writing& w = *t->writing;
    const StripPlace& strip = frame.strips[t->strip];
    const double scale = std::min(kTextPx / w.height_mm, kLongPx / w.length_mm) * framing.scale;
    crops.push_back(
        grey_crop(photo, frame.view,
                  {w.centre_mm, w.rotation_deg + (t->turned ? 180 : 0) + framing.tilt_deg, scale,
                   kCrop, strip.top_mm - kSlackMm, strip.bottom_mm + kSlackMm}));
  }
  return cv::dnn::blobFromImages(crops);
}

void read_columns(const cv::Mat& crops, Nets& nets, const std::vector<Task*>& tasks) {
  nets.reader.setInput(crops);
  const cv::Mat out = nets.reader.forward();
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->columns =
        columns_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.reader_temperature);
}

void read_places(const cv::Mat& crops, Nets& nets, const std::vector<Task*>& tasks) {
  nets.places.setInput(crops);
  const cv::Mat out = nets.places.forward();
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->places.push_back(
        places_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.places_temperature));
}

double probability_over_looks(const std::string& text, const Task& task) {
  double places = 0;
  for (const Places& p : task.places) places += probability_of(text, p);
  return (1 - kPlacesShare) * probability_of(text, task.columns) +
         kPlacesShare * places / double(task.places.size());
}

// The number that is most probable over all looks of both; what the first network reads where only
// it looked.
Reading reading_of(const Task& task) {
  const std::string first = likely_text(task.columns);
  if (task.places.empty()) return {first, first.empty() ? 0 : probability_of(first, task.columns)};
  std::set<std::string> candidates;
  if (!first.empty()) candidates.insert(first);
  for (const Places& p : task.places) candidates.insert(likely_number(p));
  Reading best;
  for (const std::string& text : candidates)
    if (const double p = probability_over_looks(text, task); p > best.score) best = {text, p};
  return best.score < kHardlyANumber ? Reading{} : best;
}

double first_worth(const Task& t) {
  const std::string text = likely_text(t.columns);
  return text.empty() || probability_of("", t.columns) >= kSurelyNothing
             ? 0
             : probability_of(text, t.columns);
}

// Whether a hand's digits may be digits upside down too, as 6 is 9 and, badly written, 12 is 21.
bool reads_both_ways(const std::string& text) {
  return !text.empty() && text.find_first_not_of("0125689") == std::string::npos;
}

// Of each strip the few that read best at the first look, and the other way round of what may be a
// number both ways: too much hangs on that for the quick network to decide it.
std::vector<Task*> plausible(std::vector<Task>& tasks) {
  std::vector<std::pair<double, Task*>> ranked;
  for (std::size_t i = 0; i + 1 < tasks.size(); i += 2) {  // one writing, both ways round
    const double worths[2] = {first_worth(tasks[i]), first_worth(tasks[i + 1])};
    for (const std::size_t k : {0, 1}) {
      const bool both =
          worths[1 - k] > kWorthTheRest && reads_both_ways(likely_text(tasks[i + 1 - k].columns));
      const double worth = both ? std::max(worths[k], kOtherWay * worths[1 - k]) : worths[k];
      if (worth > 0 && worth >= kOtherWay * worths[1 - k])
        ranked.emplace_back(worth, &tasks[i + k]);
    }
  }
  std::stable_sort(ranked.begin(), ranked.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  struct Taken {
    std::size_t count = 0;
    double best = 0;
  };
  std::map<std::size_t, Taken> taken;
  std::vector<Task*> kept;
  for (const auto& [worth, task] : ranked) {
    Taken& of_strip = taken[task->strip];
    if (of_strip.count == 0) of_strip.best = worth;
    if (likely_text(task->columns).size() > kMostDigits) continue;
    if (of_strip.count++ < kMostPerStrip && worth >= kOtherWay * of_strip.best)
      kept.push_back(task);
  }
  return kept;
}

}  // namespace

void NetReader::read(const Photo& photo, const StackFrame& frame,
                     std::vector<std::vector<Writing>>& writings) {
  std::vector<Task> tasks;
  for (std::size_t strip = 0; strip < writings.size(); ++strip)
    for (Writing& w : writings[strip])
      for (const bool turned : {false, true}) tasks.push_back({&w, strip, turned, {}, {}});
  std::vector<Task*> all;
  for (Task& t : tasks) all.push_back(&t);
  if (all.empty()) return;
  read_columns(crops_of(photo, frame, kFirstFraming, all), nets_, all);
  std::vector<Task*> looked = plausible(tasks);
  if (!looked.empty()) read_places(crops_of(photo, frame, kFirstFraming, looked), nets_, looked);
  std::erase_if(looked, [](const Task* t) {
    const double score = reading_of(*t).score;
    return score < kWorthTheRest || score > kSureAtOnce;
  });
  for (const Framing& framing : kOtherFramings)
    if (!looked.empty()) read_places(crops_of(photo, frame, framing, looked), nets_, looked);
  for (const Task& t : tasks) (t.turned ? t.writing->turned : t.writing->upright) = reading_of(t);
}

}  // namespace plumbstack
