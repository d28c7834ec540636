// Two networks of different make read each writing from the full photo: one decides column by
// column, in grey; one by length and places, in colour. The first, the quicker one, looks both ways
// round and says which of a strip's writings can be a number at all; these the second reads too. It
// also tells how its crop lies on the number: what it is not sure of at once is cut anew as told
// and looked at again by both.
#include <algorithm>
#include <map>
#include <set>

#include "plumbstack/base/in_parallel.hpp"
#include "reader_parts.hpp"

namespace plumbstack {
namespace {

const cv::Size kCrop(96, 48);                 // px
constexpr double kTextPx = 28, kLongPx = 82;  // height of the text in the crop, its greatest length
constexpr double kPlacesShare = 0.8;          // of that network in the whole
constexpr double kSurelyNothing = 0.95;       // of the first look: no use to look again
constexpr double kOtherWay = 0.03;            // of what else reads on the strip: no use to look
constexpr std::size_t kMostPerStrip = 4;      // looks of the second network in its first framing
constexpr double kClear = 0.8;                // of the first look: it stands that way round
constexpr double kWorthTheRest = 0.3;         // score after that from which it looks on
constexpr std::size_t kMostDigits = 3;        // no stack has a thousand modules: a capacity figure
constexpr double kSureAtOnce = 0.98;          // score from which no other framing adds to it
constexpr double kHardlyANumber = 0.05;       // score under which nothing is read
constexpr double kSlackMm = 0.5;              // what the strip's borders may be off by
constexpr double kSamePieceMm = 9;

struct Task {  // one writing, one way round
  Writing* writing = nullptr;
  std::size_t strip = 0;
  bool turned = false;
  CropPlace place;
  std::vector<Columns> columns;
  std::vector<Places> places;
};

double scale_of(const Writing& w) {
  return std::min(kTextPx / w.height_mm, kLongPx / w.length_mm);
}

CropPlace place_of(const Writing& w, bool turned, const StripPlace& strip) {
  return {w.centre_mm,
          w.rotation_deg + (turned ? 180.0 : 0.0),
          scale_of(w),
          kCrop,
          strip.top_mm - kSlackMm,
          strip.bottom_mm + kSlackMm};
}

using Crop = cv::Mat (&)(const Photo&, const PlaneView&, const CropPlace&);

std::vector<cv::Mat> crops_of(const Photo& photo, const PlaneView& view,
                              const std::vector<Task*>& tasks, Crop crop) {
  std::vector<cv::Mat> crops(tasks.size());
  in_parallel(crops.size(), [&](std::size_t i) { crops[i] = crop(photo, view, tasks[i]->place); });
  return crops;
}

void read_columns(const std::vector<cv::Mat>& crops, Nets& nets, const std::vector<Task*>& tasks) {
  const cv::Mat out = nets.reader.run(crops);
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->columns.push_back(
        columns_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.reader_temperature));
}

void read_places(const std::vector<cv::Mat>& crops, Nets& nets, const std::vector<Task*>& tasks) {
  const cv::Mat out = nets.places.run(crops);
  for (std::size_t i = 0; i < tasks.size(); ++i)
    tasks[i]->places.push_back(
        places_of(out.ptr<float>(static_cast<int>(i)), nets.calibrations.places_temperature));
}

// What the first network reads at its first look, if it looked.
std::string first_text(const Task& task) {
  return task.columns.empty() ? "" : likely_text(task.columns.front());
}

// By one network, over all its looks.
template <typename Look>
double over_looks(const std::string& text, const std::vector<Look>& looks) {
  double sum = 0;
  for (const Look& look : looks) sum += probability_of(text, look);
  return looks.empty() ? 0 : sum / double(looks.size());
}

double probability_by_both(const std::string& text, const Task& task) {
  return (1 - kPlacesShare) * over_looks(text, task.columns) +
         kPlacesShare * over_looks(text, task.places);
}

// The number that is most probable over all looks of both; what the first network reads where only
// it looked.
Reading reading_of(const Task& task) {
  const std::string first = first_text(task);
  if (task.places.empty())
    return {first, first.empty() ? 0 : probability_of(first, task.columns.front())};
  std::set<std::string> candidates;
  for (const Columns& c : task.columns)
    if (const std::string text = likely_text(c); !text.empty()) candidates.insert(text);
  for (const Places& p : task.places) candidates.insert(likely_number(p));
  Reading best;
  for (const std::string& text : candidates)
    if (const double p = probability_by_both(text, task); p > best.score) best = {text, p};
  if (best.score < kHardlyANumber) return {};
  best.columns = over_looks(best.text, task.columns);
  best.places = over_looks(best.text, task.places), best.nothing = over_looks("", task.places);
  return best;
}

double first_worth(const Task& t) {
  const std::string text = first_text(t);
  return text.empty() || probability_of("", t.columns.front()) >= kSurelyNothing
             ? 0
             : probability_of(text, t.columns.front());
}

// Whether a hand's digits may be digits upside down too, as 6 is 9 and, badly written, 12 is 21 and
// 7 a 6 that is left open.
bool reads_both_ways(const std::string& text) {
  return !text.empty() && text.find_first_not_of("01256789") == std::string::npos;
}

// Of each strip the few that read best at the first look, and the other way round of what may be a
// number both ways: too much hangs on that for the quick network to decide it.
std::vector<Task*> plausible(std::vector<Task>& tasks) {
  std::vector<std::pair<double, Task*>> ranked;
  for (std::size_t i = 0; i + 1 < tasks.size(); i += 2) {  // one writing, both ways round
    const double worths[2] = {first_worth(tasks[i]), first_worth(tasks[i + 1])};
    for (const std::size_t k : {0, 1}) {
      const bool both =
          worths[1 - k] > kWorthTheRest && reads_both_ways(first_text(tasks[i + 1 - k]));
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
    if (first_text(*task).size() > kMostDigits) continue;
    if (of_strip.count++ < kMostPerStrip && worth >= kOtherWay * of_strip.best)
      kept.push_back(task);
  }
  // Where it sees nothing that could be one, the better network looks for itself.
  for (Task& t : tasks)
    if (taken[t.strip].best < kWorthTheRest && first_worth(t) == 0 &&
        first_text(t).size() <= kMostDigits)
      kept.push_back(&t);
  return kept;
}

double best_score(const Writing& w) {
  return std::max(w.upright.score, w.turned.score);
}

// The writing as it was last seen to lie.
void settle_place(const Task& task) {
  const CropPlace place = reframed(task.place, task.places.back().framing);
  Writing& w = *task.writing;
  const double smaller = scale_of(w) / place.px_per_mm;
  w.centre_mm = place.centre_mm;
  w.length_mm *= smaller, w.height_mm *= smaller;
}

void read_all(const Photo& photo, const StackFrame& frame, Nets& nets,
              std::vector<std::vector<Writing>>& writings) {
  std::vector<Task> tasks;
  for (std::size_t strip = 0; strip < writings.size(); ++strip)
    for (Writing& w : writings[strip])
      for (const bool turned : {false, true})
        tasks.push_back({&w, strip, turned, place_of(w, turned, frame.strips[strip]), {}, {}});
  const auto glance = [&](bool turned, const auto& worth_it) {
    std::vector<Task*> some;
    for (std::size_t i = turned; i < tasks.size(); i += 2)
      if (worth_it(i)) some.push_back(&tasks[i]);
    if (!some.empty()) read_columns(crops_of(photo, frame.view, some, grey_crop), nets, some);
  };
  glance(false, [](std::size_t) { return true; });
  // What reads well as it was found, and could be no number the other way round, is not turned.
  glance(true, [&](std::size_t i) {
    const Task& upright = tasks[i - 1];
    return first_worth(upright) < kClear || reads_both_ways(first_text(upright));
  });
  std::vector<Task*> looked = plausible(tasks);
  if (!looked.empty()) read_places(crops_of(photo, frame.view, looked, color_crop), nets, looked);
  std::erase_if(looked, [](const Task* t) {
    const double score = reading_of(*t).score;
    return score < kWorthTheRest || score > kSureAtOnce;
  });
  for (Task* t : looked) t->place = reframed(t->place, t->places.back().framing);
  if (!looked.empty()) {
    read_places(crops_of(photo, frame.view, looked, color_crop), nets, looked);
    read_columns(crops_of(photo, frame.view, looked, grey_crop), nets, looked);
  }
  for (std::size_t i = 0; i + 1 < tasks.size(); i += 2) {  // one writing, both ways round
    Writing& w = *tasks[i].writing;
    w.upright = reading_of(tasks[i]), w.turned = reading_of(tasks[i + 1]);
    const Task& better = w.upright.score >= w.turned.score ? tasks[i] : tasks[i + 1];
    if (!better.places.empty() && best_score(w) > kWorthTheRest) settle_place(better);
  }
}

// Of two looks at one piece of writing the one that reads better.
void take_over(const Writing& w, std::vector<Writing>& writings) {
  const auto same = std::find_if(writings.begin(), writings.end(), [&](const Writing& one) {
    return cv::norm(one.centre_mm - w.centre_mm) < kSamePieceMm;
  });
  if (same == writings.end())
    writings.push_back(w);
  else if (best_score(w) > best_score(*same))
    *same = w;
}

}  // namespace

void NetReader::read(const Photo& photo, const StackFrame& frame,
                     std::vector<std::vector<Writing>>& writings) {
  read_all(photo, frame, nets_, writings);
  std::vector<std::vector<Writing>> more = places_beside_clear_numbers(frame, writings);
  read_all(photo, frame, nets_, more);
  for (std::size_t i = 0; i < writings.size(); ++i)
    for (const Writing& w : more[i]) take_over(w, writings[i]);
}

}  // namespace plumbstack
