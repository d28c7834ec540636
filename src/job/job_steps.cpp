#include "plumbstack/job_steps.hpp"

#include <cmath>
#include <set>

#include "state_parts.hpp"

namespace plumbstack::steps {
namespace {

using Entries = std::vector<JobEntry>;

tl::unexpected<Error> refused(const std::string& why) {
  return fail(ErrorCode::job_refused, why);
}

const Opened& opened_of(const Entries& entries) {
  return std::get<Opened>(entries.front().fact);
}

Result<void> slots_in_range(const Entries& entries, const std::vector<int>& slots) {
  const int modules = opened_of(entries).modules;
  std::set<int> seen;
  for (const int slot : slots) {
    if (slot < 1 || slot > modules)
      return refused("slot " + std::to_string(slot) + " is none; this pack has 1 to " +
                     std::to_string(modules));
    if (!seen.insert(slot).second) return refused("slot " + std::to_string(slot) + " stands twice");
  }
  return {};
}

// Scanners send control characters with some codes; they would hide in a record.
bool is_plain(const std::string& text) {
  return std::all_of(text.begin(), text.end(),
                     [](unsigned char c) { return c >= ' ' && c != 127; });
}

std::string known_lines(const Opened& opened) {
  std::string all;
  for (const CheckLine& line : opened.check_list) all += (all.empty() ? "" : ", ") + line.id;
  return all;
}

// "" where the line may be answered so by hand.
std::string wrong_answer(const CheckLine& line, const LineTicked& tick) {
  switch (line.answer) {
    case Answer::photo: return "is answered by a photo: job attach --shows " + line.id;
    case Answer::serials: return "is answered by job serials";
    case Answer::pass: return "is answered by job attach --result";
    case Answer::note:
      if (tick.note.empty()) return "needs a remark: --note";
      break;
    case Answer::done:
    case Answer::figures: break;
  }
  if (!tick.good && tick.note.empty()) return "failed, but why? --note";
  if (line.answer != Answer::figures) return tick.figures.empty() ? "" : "takes no figures";
  if (!tick.good && tick.figures.empty()) return "";
  if (tick.figures.size() != static_cast<std::size_t>(line.count))
    return "asks for " + counted(static_cast<std::size_t>(line.count), "figure", "figures") +
           " in " + line.unit + ", " + std::to_string(tick.figures.size()) + " given";
  for (const double figure : tick.figures)
    if (!std::isfinite(figure)) return "takes numbers only";
  return "";
}

std::string some_of(const std::vector<std::string>& all) {
  constexpr std::size_t kShown = 4;
  std::string text;
  for (std::size_t i = 0; i < std::min(kShown, all.size()); ++i)
    text += (i == 0 ? "" : ", ") + all[i];
  if (all.size() > kShown) text += " and " + std::to_string(all.size() - kShown) + " more";
  return text;
}

Result<void> finished(const JobState& state) {
  if (state.unfinished.empty()) return {};
  return refused("is not finished: " + some_of(state.unfinished) + "; see plumbstack job show");
}

}  // namespace

Decide attach_plan(PlanAttached plan) {
  return [plan = std::move(plan)](const Entries&) -> Result<Fact> { return plan; };
}

Decide attach_result(ResultAttached result) {
  return [result = std::move(result)](const Entries& entries) -> Result<Fact> {
    ResultAttached following = result;
    following.rechecks = last_of<ResultAttached>(entries).entry;
    return following;
  };
}

Decide attach_photo(PhotoAttached photo) {
  return [photo = std::move(photo)](const Entries& entries) -> Result<Fact> {
    const CheckLine* line = line_named(opened_of(entries), photo.shows);
    if (line && line->answer == Answer::photo && line->stage == Stage::bussed &&
        verdict_now(entries).verdict != JobVerdict::pass)
      return refused(line->id + " comes after the stack has passed");
    return photo;
  };
}

Decide compare_serials(SerialsCompared read) {
  return [read = std::move(read)](const Entries& entries) -> Result<Fact> {
    std::vector<int> slots;
    for (const SlotSerial& one : read.modules) {
      if (!is_plain(one.serial))
        return refused("the serial of slot " + std::to_string(one.slot) +
                       " holds a control character; set the scanner to send the code alone");
      slots.push_back(one.slot);
    }
    if (auto good = slots_in_range(entries, slots); !good) return tl::unexpected(good.error());
    return read;
  };
}

Decide tick_line(LineTicked tick) {
  return [tick = std::move(tick)](const Entries& entries) -> Result<Fact> {
    const CheckLine* line = line_named(opened_of(entries), tick.line);
    if (!line)
      return refused("has no line " + tick.line + "; its lines are " +
                     known_lines(opened_of(entries)));
    if (const std::string wrong = wrong_answer(*line, tick); !wrong.empty())
      return refused(line->id + " " + wrong);
    if (line->stage == Stage::bussed && tick.good &&
        verdict_now(entries).verdict != JobVerdict::pass)
      return refused(line->id + " comes after the stack has passed; no bus bar goes on before");
    return tick;
  };
}

Decide correct_figures(int corrects, std::vector<double> figures, std::string reason) {
  return [corrects, figures = std::move(figures),
          reason = std::move(reason)](const Entries& entries) -> Result<Fact> {
    const std::string named = "entry " + std::to_string(corrects);
    if (corrects < 1 || corrects > static_cast<int>(entries.size()))
      return refused("has no " + named);
    const Entries now = with_corrections(entries);
    const auto* tick = std::get_if<LineTicked>(&now[static_cast<std::size_t>(corrects - 1)].fact);
    const CheckLine* line = tick ? line_named(opened_of(entries), tick->line) : nullptr;
    if (!line || line->answer != Answer::figures || !tick->good)
      return refused(named + " holds no figures that could be corrected; do the step again");
    if (const std::string wrong = wrong_answer(*line, {line->id, true, figures, ""});
        !wrong.empty())
      return refused(line->id + " " + wrong);
    if (figures == tick->figures) return refused(named + " has these figures already");
    return FiguresCorrected{corrects, line->id, tick->figures, figures, reason};
  };
}

Decide lift_modules(ModulesLifted lifted) {
  return [lifted = std::move(lifted)](const Entries& entries) -> Result<Fact> {
    if (auto good = slots_in_range(entries, lifted.slots); !good)
      return tl::unexpected(good.error());
    ModulesLifted fact = lifted;
    std::sort(fact.slots.begin(), fact.slots.end());
    fact.because = last_of<ResultAttached>(entries).entry;
    return fact;
  };
}

Decide confirm_reading(ReadingConfirmed confirmed) {
  return [confirmed = std::move(confirmed)](const Entries& entries) -> Result<Fact> {
    const auto result = last_of<ResultAttached>(entries);
    if (confirmed.result != result.entry)
      return refused("there is a newer result (entry " + std::to_string(result.entry) +
                     "); look at that one");
    if (const int disturbed = last_disturbed(entries); disturbed > result.entry)
      return refused("modules were lifted since (entry " + std::to_string(disturbed) +
                     "); photograph the stack again");
    return confirmed;
  };
}

namespace {

// The first entry by which this person had a hand in the pack, 0 = none. To read what the program
// could not is no such work.
int work_of(const std::string& by, const Entries& entries) {
  for (const JobEntry& entry : entries) {
    const bool work = std::holds_alternative<LineTicked>(entry.fact) ||
                      std::holds_alternative<SerialsCompared>(entry.fact) ||
                      std::holds_alternative<ResultAttached>(entry.fact) ||
                      std::holds_alternative<ModulesLifted>(entry.fact) ||
                      std::holds_alternative<FiguresCorrected>(entry.fact);
    if (work && same_person(by, entry.by)) return entry.place;
  }
  return 0;
}

}  // namespace

Decide sign_job(std::string by, std::string note) {
  return [by = std::move(by), note = std::move(note)](const Entries& entries) -> Result<Fact> {
    const JobState state = job_state(entries);
    if (auto done = finished(state); !done) return tl::unexpected(done.error());
    if (same_person(by, state.technician))
      return refused("must be signed by a second person; it is the work of " + state.technician);
    if (const int own = work_of(by, entries); own > 0)
      return refused("must be signed by a second person; entry " + std::to_string(own) + " is " +
                     by + "'s own work");
    return Signed{note};
  };
}

Decide close_job(std::string by, std::string abandoned) {
  return [by = std::move(by),
          abandoned = std::move(abandoned)](const Entries& entries) -> Result<Fact> {
    if (!abandoned.empty()) return Closed{abandoned};
    const JobState state = job_state(entries);
    if (auto done = finished(state); !done) return tl::unexpected(done.error());
    if (state.signed_by.empty())
      return refused("a second person has to sign it first: plumbstack job sign");
    if (same_person(by, state.signed_by))
      return refused("was signed by " + state.signed_by + "; somebody else has to close it");
    return Closed{""};
  };
}

}  // namespace plumbstack::steps
