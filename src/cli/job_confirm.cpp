// A person's word on a reading: the picture is made anew from the photo in the record, and the one
// that the person hands in must be the same, byte for byte.
#include <algorithm>
#include <ostream>

#include "job_parts.hpp"
#include "output_folder.hpp"
#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/job_documents.hpp"
#include "plumbstack/job_steps.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack::job {
namespace {

// The picture's reading, told by its bytes: so the person had it. Error: job_refused.
struct Shown {
  UnsureReading reading;
  int result = 0;
  std::string picture;  // bytes
};
Result<std::vector<Shown>> all_shown(const JobStore& store, const std::string& number) {
  const auto entries = store.entries(number);
  if (!entries) return tl::unexpected(entries.error());
  const JobState state = job_state(*entries);
  if (state.verdict.result == 0)
    return fail(ErrorCode::job_refused, "has no result yet", "job " + number);
  const JobEntry& entry = (*entries)[static_cast<std::size_t>(state.verdict.result - 1)];
  const auto& result = std::get<ResultAttached>(entry.fact);
  const auto text = store.files().bytes_of(result.file);
  if (!text) return tl::unexpected(text.error());
  const auto pack = pack_of(store, number);
  if (!pack) return tl::unexpected(pack.error());
  const auto read = parse_check_result(*text, result.file.name, *pack);
  if (!read) return tl::unexpected(read.error());
  const std::vector<UnsureReading> readings = unsure_readings(*read, *pack);

  std::vector<Shown> all;
  for (const ResultPhoto& photo : result.photos) {
    const auto bytes = store.files().bytes_of(photo.file);
    if (!bytes) return tl::unexpected(bytes.error());
    cv::Mat pixels;  // decoded for the first reading of this side
    for (const UnsureReading& one : readings) {
      if (one.side != photo.side) continue;
      if (pixels.empty()) {
        const auto decoded = decode_photo(bytes_in(*bytes), photo.file.name);
        if (!decoded) return tl::unexpected(decoded.error());
        pixels = decoded->pixels;
      }
      const auto picture = confirmation_picture(pixels, one);
      all.push_back({one, entry.place, {picture.begin(), picture.end()}});
    }
  }
  return all;
}

// As the plan writes it: "07" is 7.
std::string plain_reading(const std::string& mark, std::string reads) {
  if (mark != "number") return reads;
  const auto first = reads.find_first_not_of('0');
  return first == std::string::npos ? reads : reads.substr(first);
}

Result<void> refuse_odd_reading(const std::string& mark, const std::string& reads) {
  const bool number = !reads.empty() && reads.size() <= 6 &&
                      reads.find_first_not_of("0123456789") == std::string::npos;
  if (mark == "number" ? number
      : mark == "vent" ? reads == "left" || reads == "right"
                       : reads == "+" || reads == "-")
    return {};
  return fail(ErrorCode::usage, "'" + reads + "' is no " + mark + "; write " +
                                    (mark == "number" ? "digits"
                                     : mark == "vent" ? "left or right"
                                                      : "+ or -"));
}

}  // namespace

Result<ExitCode> unsure(const JobArguments& a, std::ostream& say) {
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto shown = all_shown(*store, a.number);
  if (!shown) return tl::unexpected(shown.error());
  if (shown->empty()) {
    say << "nothing that a person could confirm from a picture\n";
    return ExitCode::pass;
  }
  const auto out = OutputFolder::open(a.out);
  if (!out) return tl::unexpected(out.error());
  StagedFiles staged(a.out);
  for (const Shown& one : *shown)
    if (auto added = staged.add(picture_name(one.reading), one.picture); !added)
      return tl::unexpected(added.error());
  if (auto done = staged.commit(); !done) return tl::unexpected(done.error());
  for (const Shown& one : *shown)
    say << "  " << (a.out / picture_name(one.reading)).string() << "  " << one.reading.ask << '\n';
  say << "Look at each picture, then: plumbstack job confirm " << a.number
      << " --crop PICTURE --reads ... --by NAME\n";
  return ExitCode::pass;
}

Result<ExitCode> confirm(const JobArguments& a, std::ostream& say) {
  const auto crop = read_whole(a.crop, "picture");
  if (!crop) return tl::unexpected(crop.error());
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto shown = all_shown(*store, a.number);
  if (!shown) return tl::unexpected(shown.error());
  const auto at = std::find_if(shown->begin(), shown->end(),
                               [&](const Shown& one) { return one.picture == *crop; });
  if (at == shown->end())
    return fail(ErrorCode::job_refused,
                "is no picture of a reading that the last result is unsure of; see plumbstack job "
                "unsure",
                a.crop.string());
  const UnsureReading& reading = at->reading;
  if (auto good = refuse_odd_reading(reading.mark, a.reads); !good)
    return tl::unexpected(good.error());
  auto kept = store->files().keep(picture_name(reading), *crop);
  if (!kept) return tl::unexpected(kept.error());
  const ReadingConfirmed fact{at->result,
                              reading.side,
                              reading.slot,
                              reading.mark,
                              plain_reading(reading.mark, a.reads),
                              reading.planned,
                              *kept};
  const auto state = append(*store, a, steps::confirm_reading(fact), say);
  if (!state) return tl::unexpected(state.error());
  say << verdict_line(state->verdict);
  if (state->verdict.verdict == JobVerdict::pass) say << caution();
  return state->verdict.verdict == JobVerdict::fix ? ExitCode::fix : ExitCode::pass;
}

}  // namespace plumbstack::job
