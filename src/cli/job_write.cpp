// The steps that write and take no files.
#include <array>
#include <charconv>
#include <ctime>
#include <istream>
#include <ostream>

#include "job_parts.hpp"
#include "plumbstack/job_steps.hpp"

namespace plumbstack::job {
namespace {

std::string time_text(const char* format, bool utc) {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  utc ? gmtime_r(&now, &parts) : localtime_r(&now, &parts);
  std::array<char, 40> text{};
  std::strftime(text.data(), text.size(), format, &parts);
  return text.data();
}
std::string now_utc() {
  return time_text("%Y-%m-%dT%H:%M:%SZ", true);
}
std::string now_as_exif() {  // EXIF has no time zone
  return time_text("%Y:%m:%d %H:%M:%S", false);
}

Result<SlotSerial> slot_serial(const std::string& text) {
  const auto equals = text.find('=');
  SlotSerial one;
  const char* end = text.data() + (equals == std::string::npos ? 0 : equals);
  const auto [stop, error] = std::from_chars(text.data(), end, one.slot);
  if (equals == std::string::npos || error != std::errc{} || stop != end ||
      equals + 1 == text.size())
    return fail(ErrorCode::usage, "'" + text + "' is no SLOT=SERIAL");
  one.serial = text.substr(equals + 1);
  return one;
}

// A scanner types a code and a line's end; an empty line passes a slot over.
std::vector<SlotSerial> scanned(std::istream& in) {
  std::vector<SlotSerial> all;
  std::string line;
  for (int slot = 1; std::getline(in, line); ++slot) {
    const auto from = line.find_first_not_of(" \t\r"), to = line.find_last_not_of(" \t\r");
    if (from != std::string::npos) all.push_back({slot, line.substr(from, to - from + 1)});
  }
  return all;
}

// How the line stands that was answered, where it isn't simply done.
ExitCode line_answered(const JobState& state, const LineState& one, const JobArguments& a,
                       std::ostream& say) {
  if (one.standing == LineStanding::done) return ExitCode::pass;
  say << one.line.id << " is " << name_of(one.standing) << ": " << one.says << '\n';
  if (state.verdict.verdict == JobVerdict::voided)
    say << "the earlier pass no longer holds: " << state.verdict.why << '\n';
  if (one.standing == LineStanding::failed && !a.failed && one.line.answer == Answer::figures)
    say << "if a figure was typed wrong: plumbstack job correct " << state.number << " --entry "
        << one.entry << '\n';
  return ExitCode::fix;
}

}  // namespace

Result<JobState> append(JobStore& store, const JobArguments& a, const JobStore::Decide& decide,
                        std::ostream& say) {
  const auto sealed = store.append(a.number, a.by, now_utc(), decide);
  if (!sealed) return tl::unexpected(sealed.error());
  const auto entry = parse_entry(sealed->text);
  if (!entry) return tl::unexpected(entry.error());
  say << acknowledged(*entry) << std::flush;
  const auto entries = store.entries(a.number);
  if (!entries) return tl::unexpected(entries.error());
  return job_state(*entries);
}

Result<ExitCode> open(const JobArguments& a, std::ostream& say) {
  const auto pack_text = read_whole(a.pack, "pack definition");
  if (!pack_text) return tl::unexpected(pack_text.error());
  const auto pack = load_pack(a.pack);
  if (!pack) return tl::unexpected(pack.error());
  auto lines = a.check_list.empty() ? Result<std::vector<CheckLine>>(default_check_list(*pack))
                                    : load_check_list(a.check_list);
  if (!lines) return tl::unexpected(lines.error());
  auto store = store_of(a, true);
  if (!store) return tl::unexpected(store.error());
  auto kept = store->files().keep(a.pack.string(), *pack_text);
  if (!kept) return tl::unexpected(kept.error());
  Opened opened{*kept,      pack->id,      pack->modules,        1,
                a.customer, now_as_exif(), pack->required_sides, *lines};
  for (const Side& side : pack->sides)
    if (side.number) opened.first_number = side.number->first;
  const auto sealed = store->open_job(a.number, opened, a.by, now_utc());
  if (!sealed) return tl::unexpected(sealed.error());
  const auto entries = store->entries(a.number);
  if (!entries) return tl::unexpected(entries.error());
  say << acknowledged(entries->front()) << '\n' << job_text(*entries);
  return ExitCode::pass;
}

Result<ExitCode> serials(const JobArguments& a, std::istream& in, std::ostream& say) {
  SerialsCompared read;
  for (const std::string& text : a.serials) {
    auto one = slot_serial(text);
    if (!one) return tl::unexpected(one.error());
    read.modules.push_back(*one);
  }
  if (a.serials.empty()) read.modules = scanned(in);
  if (read.modules.empty()) return fail(ErrorCode::usage, "no serials given");
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto state = append(*store, a, steps::compare_serials(read), say);
  if (!state) return tl::unexpected(state.error());
  bool good = true;
  for (const LineState& one : state->lines) {
    if (one.line.answer != Answer::serials) continue;
    good = one.standing != LineStanding::failed;
    say << one.says << '\n';
  }
  return good ? ExitCode::pass : ExitCode::fix;
}

Result<ExitCode> tick(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const LineTicked fact{a.line, !a.failed, a.figures, a.note};
  const auto state = append(*store, a, steps::tick_line(fact), say);
  if (!state) return tl::unexpected(state.error());
  for (const LineState& one : state->lines) {
    if (one.line.id != a.line) continue;
    if (one.line.stage == Stage::bussed) say << caution();
    return line_answered(*state, one, a, say);
  }
  return ExitCode::pass;
}

Result<ExitCode> correct(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto state = append(*store, a, steps::correct_figures(a.entry, a.figures, a.reason), say);
  if (!state) return tl::unexpected(state.error());
  if (state->verdict.verdict != JobVerdict::none) say << verdict_line(state->verdict);
  for (const LineState& one : state->lines)
    if (one.entry == a.entry && one.corrected != 0) return line_answered(*state, one, a, say);
  // The line has been answered anew since; what was wrong when it counted still takes a pass back.
  return state->verdict.verdict == JobVerdict::voided ? ExitCode::fix : ExitCode::pass;
}

Result<ExitCode> lift(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto state =
      append(*store, a, steps::lift_modules(ModulesLifted{a.slots, a.reason, 0}), say);
  if (!state) return tl::unexpected(state.error());
  say << "photograph the stack again once it is put together\n" << caution();
  return ExitCode::pass;
}

Result<ExitCode> sign(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto state = append(*store, a, steps::sign_job(a.by, a.note), say);
  if (!state) return tl::unexpected(state.error());
  say << caution();
  return ExitCode::pass;
}

Result<ExitCode> close(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto state = append(*store, a, steps::close_job(a.by, a.reason), say);
  if (!state) return tl::unexpected(state.error());
  const auto sealed = store->sealed_entries(a.number);
  if (!sealed) return tl::unexpected(sealed.error());
  say << "last hash, to note down on paper:\n  " << sealed->back().hash << "\n"
      << "With it job verify --head shows also that no whole record was exchanged.\n"
      << caution();
  return ExitCode::pass;
}

}  // namespace plumbstack::job
