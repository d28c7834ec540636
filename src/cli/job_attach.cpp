// Plans, results and photos into a job: their bytes are kept first, then the entry that names them
// is written, so that no entry ever names what is not there.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <ostream>

#include "job_parts.hpp"
#include "plumbstack/job_documents.hpp"
#include "plumbstack/job_steps.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack::job {
namespace {

namespace fs = std::filesystem;

Result<ExitCode> attach_plan(JobStore& store, const JobArguments& a, std::ostream& say) {
  const auto text = read_whole(a.plan, "plan");
  if (!text) return tl::unexpected(text.error());
  const auto pack = pack_of(store, a.number);
  if (!pack) return tl::unexpected(pack.error());
  const auto planned = parse_planned_modules(*text, a.plan.string(), *pack);
  if (!planned) return tl::unexpected(planned.error());

  auto file = store.files().keep(a.plan.string(), *text);
  if (!file) return tl::unexpected(file.error());
  const auto state = append(store, a, steps::attach_plan({*file, planned_slots(*planned)}), say);
  if (!state) return tl::unexpected(state.error());
  return ExitCode::pass;
}

// What is odd about the entry just written.
void say_remarks(const JobState& state, std::ostream& say) {
  const std::string entry = "entry " + std::to_string(state.entries) + ": ";
  for (const std::string& remark : state.remarks)
    if (remark.rfind(entry, 0) == 0) say << "note: " << remark << '\n';
}

// Every photo of the result, each from one of the files. Errors: usage, document_invalid.
Result<void> keep_photos(const JobStore& store, const JobArguments& a, ResultAttached& result) {
  std::vector<bool> used(result.photos.size());
  for (const fs::path& file : a.photos) {
    const auto bytes = read_whole(file, "photo");
    if (!bytes) return tl::unexpected(bytes.error());
    const std::string hash = sha256_hex(bytes_in(*bytes));
    const auto at = std::find_if(result.photos.begin(), result.photos.end(),
                                 [&](const ResultPhoto& one) { return one.file.sha256 == hash; });
    if (at == result.photos.end())
      return fail(ErrorCode::document_invalid, "is none of the photos that were checked",
                  file.string());
    if (auto kept = store.files().keep(at->file.name, *bytes); !kept)
      return tl::unexpected(kept.error());
    used[static_cast<std::size_t>(at - result.photos.begin())] = true;
  }
  const auto left_out = std::find(used.begin(), used.end(), false);
  if (left_out == used.end()) return {};
  const auto& photo = result.photos[static_cast<std::size_t>(left_out - used.begin())];
  return fail(ErrorCode::document_invalid,
              "photo " + photo.file.name + " (side " + photo.side + ") belongs to it; name it too",
              a.result.string());
}

// What check wrote beside the result, as far as it is still there.
Result<void> keep_pictures(const JobStore& store, const fs::path& folder, ResultAttached& result) {
  std::vector<std::string> names = annotated_names(result);
  names.insert(names.begin(), "report.html");
  for (const std::string& name : names) {
    std::ifstream in(folder / name, std::ios::binary);
    if (!in) continue;
    const std::string bytes{std::istreambuf_iterator<char>(in), {}};
    auto kept = store.files().keep(name, bytes);
    if (!kept) return tl::unexpected(kept.error());
    result.pictures.push_back(*kept);
  }
  return {};
}

Result<ExitCode> attach_result(JobStore& store, const JobArguments& a, std::ostream& say) {
  const auto text = read_whole(a.result, "result");
  if (!text) return tl::unexpected(text.error());
  const auto pack = pack_of(store, a.number);
  if (!pack) return tl::unexpected(pack.error());
  const auto read = parse_check_result(*text, a.result.string(), *pack);
  if (!read) return tl::unexpected(read.error());
  auto result = attached_result(*read, a.result.string());
  if (!result) return tl::unexpected(result.error());
  if (auto kept = keep_photos(store, a, *result); !kept) return tl::unexpected(kept.error());
  auto file = store.files().keep(a.result.string(), *text);
  if (!file) return tl::unexpected(file.error());
  result->file = *file;
  if (auto kept = keep_pictures(store, a.result.parent_path(), *result); !kept)
    return tl::unexpected(kept.error());
  const auto state = append(store, a, steps::attach_result(*result), say);
  if (!state) return tl::unexpected(state.error());
  say << verdict_line(state->verdict);
  if (state->verdict.verdict == JobVerdict::pass) say << caution();
  say_remarks(*state, say);

  return state->verdict.verdict == JobVerdict::fix      ? ExitCode::fix
         : state->verdict.verdict == JobVerdict::retake ? ExitCode::retake
                                                        : ExitCode::pass;
}

Result<ExitCode> attach_photo(JobStore& store, const JobArguments& a, std::ostream& say) {
  if (a.photos.size() != 1)
    return fail(ErrorCode::usage, "--shows takes one photo; see plumbstack job attach --help");
  const auto bytes = read_whole(a.photos[0], "photo");
  if (!bytes) return tl::unexpected(bytes.error());
  const auto photo = decode_photo(bytes_in(*bytes), a.photos[0].string());
  if (!photo) return tl::unexpected(photo.error());
  auto file = store.files().keep(a.photos[0].string(), *bytes);
  if (!file) return tl::unexpected(file.error());
  const PhotoAttached fact{*file, a.shows, photo->taken_at.value_or("")};
  const auto state = append(store, a, steps::attach_photo(fact), say);
  if (!state) return tl::unexpected(state.error());
  say_remarks(*state, say);

  return ExitCode::pass;
}

}  // namespace

Result<ExitCode> attach(const JobArguments& a, std::ostream& say) {
  if (!a.plan.empty() && !a.photos.empty())
    return fail(ErrorCode::usage, "a plan has no photos; see plumbstack job attach --help");
  auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  if (!a.plan.empty()) return attach_plan(*store, a, say);
  if (!a.result.empty()) return attach_result(*store, a, say);
  return attach_photo(*store, a, say);
}

}  // namespace plumbstack::job
