#include "label_layout.hpp"

#include <algorithm>
#include <cmath>

namespace plumbstack {
namespace {

constexpr double kLettersOfPitch = 0.62;  // leaves air between the labels of neighbours
constexpr double kLineOfLetters = 1.55;   // height of a tag with its frame
constexpr double kLeastScale = 0.3;
constexpr double kTagEnd = 0.8;  // its striped end and a margin
constexpr double kTagGap = 1.8;  // room for leader lines, in tag letter sizes

// Reading direction: to the right; upwards where the strips stand on end. Never upside down.
cv::Point2d reading_direction(const std::vector<SlotView>& views) {
  cv::Point2d sum(0, 0);
  for (const SlotView& v : views) {
    const Quad& q = v.face_in_photo;
    sum += q[1] + q[2] - q[0] - q[3];
  }
  const double length = cv::norm(sum);
  cv::Point2d along = length > 0 ? sum * (1 / length) : cv::Point2d(1, 0);
  const bool on_end = std::abs(along.x) < 0.26;  // 75 degrees
  if (on_end ? along.y > 0 : along.x < 0) along = -along;
  return along;
}

TextFrame frame_of(const std::vector<SlotView>& views) {
  TextFrame frame;
  frame.along = reading_direction(views);
  cv::Point2d sum(0, 0);
  for (const SlotView& v : views)
    for (const cv::Point2d& corner : v.face_in_photo) sum += corner;
  frame.origin_in_photo = sum * (0.25 / static_cast<double>(views.size()));
  return frame;
}

// Middles of the strip's two short sides, the one further left in the text frame first.
std::pair<cv::Point2d, cv::Point2d> ends_of(const TextFrame& frame, const Quad& q) {
  cv::Point2d one = frame.from_photo((q[0] + q[3]) / 2), two = frame.from_photo((q[1] + q[2]) / 2);
  if (one.x > two.x) std::swap(one, two);
  return {one, two};
}

// Least-squares line through the ends, pushed outwards until no end lies beyond it.
Lane lane_beyond(const std::vector<cv::Point2d>& ends, double outwards) {
  cv::Point2d mean(0, 0);
  for (const cv::Point2d& p : ends) mean += p * (1.0 / static_cast<double>(ends.size()));
  double sxx = 0, sxy = 0;
  for (const cv::Point2d& p : ends) {
    sxx += (p.y - mean.y) * (p.y - mean.y);
    sxy += (p.y - mean.y) * (p.x - mean.x);
  }
  Lane lane;
  lane.slope = sxx > 0 ? sxy / sxx : 0;
  lane.at = mean.x - lane.slope * mean.y;
  double beyond = 0;
  for (const cv::Point2d& p : ends)
    beyond = std::max(beyond, (p.x - lane.a(p.y)) * (outwards > 0 ? 1 : -1));
  lane.at += outwards + (outwards > 0 ? beyond : -beyond);
  return lane;
}

double median_step(const std::vector<double>& b) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < b.size(); ++i) steps.push_back(std::abs(b[i] - b[i - 1]));
  if (steps.empty()) return 40;  // a single strip: any size will do
  std::nth_element(steps.begin(), steps.begin() + static_cast<long>(steps.size() / 2), steps.end());
  return std::max(1.0, steps[steps.size() / 2]);
}

double middle_b(const LabelLayout& l, const Tag& tag) {
  return (l.left_b[tag.first] + l.left_b[tag.last]) / 2;
}

void place_tags(LabelLayout& l) {
  std::sort(l.tags.begin(), l.tags.end(),
            [&](const Tag& x, const Tag& y) { return middle_b(l, x) < middle_b(l, y); });
  std::vector<double> wanted;
  for (const Tag& tag : l.tags) wanted.push_back(middle_b(l, tag));
  const std::vector<double> placed = spread(wanted, kLineOfLetters * l.tag_letters);
  for (std::size_t i = 0; i < placed.size(); ++i) l.tags[i].b = placed[i];
}

// Everything that must stay on the canvas, as a box in the photo.
cv::Rect2d needed_box(const LabelLayout& l, const LabelWidths& w) {
  std::vector<cv::Point2d> points;
  const auto [low, high] = std::minmax_element(l.left_b.begin(), l.left_b.end());
  const auto [low2, high2] = std::minmax_element(l.right_b.begin(), l.right_b.end());
  const double margin = 1.8 * l.letters;  // one line above for the headings
  const double top = std::min(*low, *low2) - margin, bottom = std::max(*high, *high2) + margin;
  double tags = 0;
  if (!l.tags.empty()) tags = (w.tag + kTagGap + kTagEnd) * l.tag_letters;
  for (double b : {top, bottom}) {
    points.push_back({l.left.a(b) - w.slot * l.letters - tags, b});
    points.push_back({l.right.a(b) + w.reading * l.letters, b});
  }
  for (const Tag& tag : l.tags)
    for (double half : {-1.0, 1.0}) {
      const double b = tag.b + half * l.tag_letters;
      points.push_back({l.left.a(b) - w.slot * l.letters - tags, b});
    }
  cv::Point2d least(1e12, 1e12), most(-1e12, -1e12);
  for (const cv::Point2d& p : points) {
    const cv::Point2d q = l.frame.to_photo(p);
    least = {std::min(least.x, q.x), std::min(least.y, q.y)};
    most = {std::max(most.x, q.x), std::max(most.y, q.y)};
  }
  return {least, most};
}

// As near to where the photo would lie by itself as the needed box allows.
double place_axis(double need_from, double need_to, double scale, double room_from, double room_to,
                  double photo_length, double canvas_length) {
  const double plain = (canvas_length - scale * photo_length) / 2;
  const double least = room_from - scale * need_from, most = room_to - scale * need_to;
  // Whole pixels, so that an unscaled photo is copied and not resampled.
  if (least > most) return std::round((least + most) / 2);
  return std::clamp(std::round(plain), std::ceil(least), std::max(std::ceil(least), most));
}

void place_photo(LabelLayout& l, const LabelWidths& w, cv::Size photo, cv::Size canvas,
                 double banner) {
  const cv::Rect2d need = needed_box(l, w);
  const double whole = static_cast<double>(canvas.width) / photo.width;
  // A frame gone astray must not shrink the photo to nothing: rather lose labels than the picture.
  l.photo_scale = std::min(
      whole, std::max(kLeastScale * whole,
                      std::min(canvas.width / need.width, (canvas.height - banner) / need.height)));
  l.photo_at.x = place_axis(need.x, need.x + need.width, l.photo_scale, 0, canvas.width,
                            photo.width, canvas.width);
  l.photo_at.y = place_axis(need.y, need.y + need.height, l.photo_scale, banner, canvas.height,
                            photo.height, canvas.height);
}

}  // namespace

cv::Point2d TextFrame::from_photo(cv::Point2d point) const {
  const cv::Point2d d = point - origin_in_photo;
  return {d.dot(along), along.cross(d)};
}

cv::Point2d TextFrame::to_photo(cv::Point2d point) const {
  return origin_in_photo + along * point.x + cv::Point2d(-along.y, along.x) * point.y;
}

std::vector<Tag> tags_of(const std::vector<SlotView>& views) {
  std::vector<Tag> tags;
  for (std::size_t i = 0; i < views.size(); ++i) {
    if (views[i].words.empty()) continue;
    const std::string text = joined(views[i].words);
    if (!tags.empty() && tags.back().last + 1 == i && tags.back().text == text &&
        tags.back().standing == views[i].standing)
      tags.back().last = i;
    else
      tags.push_back({i, i, views[i].standing, text, 0});
  }
  return tags;
}

// Pool adjacent violators: a block of crowded neighbours moves as one to its mean.
std::vector<double> spread(const std::vector<double>& wanted, double apart) {
  struct Block {
    double mean;
    std::size_t count;
  };
  std::vector<Block> blocks;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    blocks.push_back({wanted[i] - apart * static_cast<double>(i), 1});
    while (blocks.size() > 1 && blocks[blocks.size() - 2].mean > blocks.back().mean) {
      const Block last = blocks.back();
      blocks.pop_back();
      Block& into = blocks.back();
      const double a = static_cast<double>(into.count), b = static_cast<double>(last.count);
      into = {(into.mean * a + last.mean * b) / (a + b), into.count + last.count};
    }
  }
  std::vector<double> placed;
  for (const Block& block : blocks)
    for (std::size_t i = 0; i < block.count; ++i)
      placed.push_back(block.mean + apart * static_cast<double>(placed.size()));
  return placed;
}

LabelLayout lay_out(const std::vector<SlotView>& views, const LabelWidths& widths, cv::Size photo,
                    cv::Size canvas, double banner, double stick_out_px) {
  LabelLayout l;
  l.frame = frame_of(views);
  std::vector<cv::Point2d> lefts, rights;
  for (const SlotView& v : views) {
    const auto [left, right] = ends_of(l.frame, v.face_in_photo);
    lefts.push_back(left), rights.push_back(right);
    l.left_b.push_back(left.y), l.right_b.push_back(right.y);
  }
  const double pitch = std::min(median_step(l.left_b), median_step(l.right_b));
  const double whole = static_cast<double>(canvas.width) / photo.width;
  const double largest = 0.03 * std::max(photo.width, photo.height);
  const double least = 10 / whole;  // smaller letters can't be read even when zoomed in
  l.letters = std::clamp(kLettersOfPitch * pitch, least, std::max(least, largest));
  l.every = static_cast<std::size_t>(std::ceil(l.letters / (0.8 * pitch)));
  const double clear = std::max(0.5 * l.letters, stick_out_px);
  l.left = lane_beyond(lefts, -clear);
  l.right = lane_beyond(rights, clear);
  l.tags = tags_of(views);
  // Tags are read at arm's length, but they also have to fit beside the stack.
  const double most =
      1.15 * pitch * static_cast<double>(views.size()) /
      (kLineOfLetters * static_cast<double>(std::max<std::size_t>(1, l.tags.size())));
  const double arm = std::max(l.letters, 0.02 * std::max(photo.width, photo.height));
  l.tag_letters = std::min(arm, std::max(most, 0.8 * l.letters));
  place_tags(l);
  place_photo(l, widths, photo, canvas, banner);
  return l;
}

}  // namespace plumbstack
