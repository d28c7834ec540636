#include "slot_views.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdio>
#include <set>

namespace plumbstack {
namespace {

Standing standing_of(Severity severity) {
  switch (severity) {
    case Severity::note: return Standing::note;
    case Severity::retake: return Standing::unsure;
    case Severity::fix: return Standing::wrong;
  }
  return Standing::unsure;
}

// The few words that a tag has room for. Several codes of one turned module say it once.
std::vector<std::string> words_for(const std::set<std::string>& codes, const SlotMarks& marks) {
  const auto has = [&](const char* code) { return codes.count(code) > 0; };
  const std::string text = marks.number.text.value_or("nothing");
  std::vector<std::string> words;
  const bool turned =
      has("vent.repeat") || has("sign.repeat") || (has("number.end") && has("number.rotation"));
  if (turned) words.push_back("turned");
  const bool second = has("number.order") && has("number.duplicate");
  if (second) words.push_back("second " + text);
  if (!second && (has("number.order") || has("number.foreign"))) words.push_back("reads " + text);
  if (!second && has("number.duplicate")) words.push_back(text + " twice");
  if (has("number.missing")) words.push_back("no number");
  if (has("number.end") && !turned) words.push_back("number at wrong end");
  if (has("number.rotation") && !turned) words.push_back("number turned");
  if (has("number.doubtful")) words.push_back("reads " + text + "?");
  if (has("sign.doubtful")) words.push_back("turned?");
  if (has("number.unsure")) words.push_back("number?");
  if (has("vent.unsure")) words.push_back("vent?");
  if (has("sign.unsure")) words.push_back("sign?");
  const std::string off =
      marks.stagger_mm ? "off " + mm_text(*marks.stagger_mm) + " mm" : "off line";
  if (has("stagger.over")) words.push_back(off);
  if (has("stagger.near")) words.push_back("nearly off");
  if (has("stagger.unsure")) words.push_back("offset?");
  if (has("seat.gap")) words.push_back("gap");
  if (has("sides.disagree")) words.push_back("sides disagree");
  const std::pair<const char*, const char*> capture[] = {
      {"photo.blurred", "blurred"}, {"photo.glare", "glare"},     {"photo.cropped", "cut off"},
      {"photo.dark", "too dark"},   {"photo.covered", "covered"},
  };
  for (const auto& [code, word] : capture)
    if (has(code)) words.push_back(word);
  return words;
}

bool concerns(const Finding& f, const std::string& side, int slot) {
  if (!f.side.empty() && f.side != side) return false;
  return std::find(f.slots.begin(), f.slots.end(), slot) != f.slots.end();
}

// Where an unsure mark is settled by the slot's other mark it is a note, and no tag is owed.
void judge_view(const Check& check, const std::string& side, SlotView& view) {
  std::set<std::string> all, worst;
  for (const Finding& f : check.judgement.findings) {
    if (!concerns(f, side, view.slot)) continue;
    if (standing_of(f.severity) > view.standing) worst.clear();
    view.standing = std::max(view.standing, standing_of(f.severity));
    if (f.severity == Severity::note && f.code != "stagger.near") continue;
    all.insert(f.code);
    if (standing_of(f.severity) == view.standing) worst.insert(f.code);
  }
  const auto number = all.lower_bound("number.");
  view.number_in_question = number != all.end() && number->rfind("number.", 0) == 0;
  view.words = words_for(worst, *view.marks);
  view.all_words = words_for(all, *view.marks);
  if (!view.marks->seen) {
    view.standing = std::max(view.standing, Standing::unseen);
    if (all.empty()) view.words = view.all_words = {"not seen"};
  }
  if (view.words.empty() && !worst.empty()) view.words = view.all_words = {"see report"};
}

bool has_area(const Quad& quad) {
  double twice = 0;
  for (std::size_t i = 0; i < 4; ++i) twice += quad[i].cross(quad[(i + 1) % 4]);
  return std::abs(twice) > 2;  // px^2
}

std::vector<SlotView> counted_views(const CheckedPhoto& photo) {
  std::vector<SlotView> views;
  if (!photo.frame) return views;
  const std::size_t n = photo.frame->strips.size();
  const Edge first_at = photo.frame->lying ? Edge::left : Edge::top;
  const bool turn = photo.evidence.slot_1_at == opposite(first_at);
  for (std::size_t i = 0; i < n; ++i) {
    SlotView view;
    view.slot = static_cast<int>(i) + 1;
    view.face_in_photo = photo.frame->face_in_photo(turn ? n - 1 - i : i);
    if (turn) view.face_in_photo = half_turned(view.face_in_photo);
    view.has_face = has_area(view.face_in_photo);
    views.push_back(view);
  }
  return views;
}

}  // namespace

std::vector<SlotView> slot_views(const Pack& pack, const Check& check, std::size_t photo_index) {
  const CheckedPhoto& photo = check.photos[photo_index];
  const std::vector<SlotMarks>& slots = photo.evidence.marks.slots;
  if (slots.size() != static_cast<std::size_t>(pack.modules)) return counted_views(photo);
  std::vector<SlotView> views;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    SlotView view;
    view.slot = static_cast<int>(i) + 1;
    view.face_in_photo = slots[i].face_in_photo;
    view.has_face = has_area(view.face_in_photo);
    view.marks = slots[i];
    judge_view(check, photo.side, view);
    views.push_back(std::move(view));
  }
  return views;
}

bool stagger_worth_showing(const Pack& pack, const SlotMarks& marks) {
  if (!marks.stagger_mm || !pack.stagger_limit_mm) return false;
  const double limit = *pack.stagger_limit_mm;
  return std::abs(*marks.stagger_mm) > std::max(limit - 2 * marks.stagger_sd_mm, limit / 2);
}

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

std::string mm_text(double mm) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f", std::abs(mm));
  return text;
}

std::string sentence(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

}  // namespace plumbstack
