#include "plumbstack/check_stack.hpp"

#include <chrono>

#include "debug_pictures.hpp"
#include "parts.hpp"

namespace plumbstack {
namespace {

class Stopwatch {
 public:
  explicit Stopwatch(std::map<std::string, double>& ms) : ms_(ms) {}
  void lap(const char* stage) {
    const auto now = std::chrono::steady_clock::now();
    ms_[stage] += std::chrono::duration<double, std::milli>(now - last_).count();
    last_ = now;
  }
  void skip() { last_ = std::chrono::steady_clock::now(); }  // debug pictures are no stage

 private:
  std::map<std::string, double>& ms_;
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

Result<CheckedPhoto> check_photo(const Pack& pack, const PhotoRequest& request,
                                 std::string side_name, const std::vector<std::string>& taken,
                                 Nets& nets, const CheckOptions& options, Stopwatch& watch,
                                 DebugPictures& debug, std::string& note) {
  CheckedPhoto checked;
  Result<Photo> photo = load_photo(request.file, options.photo);
  if (!photo) return tl::unexpected<Error>(photo.error());
  checked.photo = std::move(*photo);
  watch.lap("decode");
  debug.photo(checked.photo);
  watch.skip();
  const Side* side = side_name.empty() ? &pack.sides.front() : pack.side(side_name);
  Result<std::optional<FoundStack>> found =
      find_stack(checked.photo, pack, *side, nets, options.stack);
  if (!found) return tl::unexpected<Error>(found.error());
  watch.lap("stack");
  debug.stack(checked.photo, *found, nets);
  watch.skip();
  if (found->has_value() && side_name.empty())
    side = pack.side(side_by_marks(pack, (*found)->maps, (*found)->frame, taken));
  checked.side = side->name;
  if (!found->has_value()) {
    checked.evidence = no_stack(side->name);
    return checked;
  }
  const StackFrame& frame = (*found)->frame;
  const std::vector<StripCut> strips = cut_strips(checked.photo, frame);
  watch.lap("strips");
  debug.strips(strips);
  watch.skip();
  const UnorientedMarks read = read_marks(checked.photo, **found, pack, *side, nets);
  if (!read.note.empty()) note = read.note;
  watch.lap("marks");
  debug.marks(checked.photo, frame, with_slot_1(read, *side, read.marks.first_at));
  watch.skip();
  checked.evidence = evidence_of(pack, *side, **found, strips, read, request.slot_1_at);
  checked.frame = std::move((*found)->frame);
  return checked;
}

}  // namespace

Result<Check> check_stack(const Pack& pack, const std::vector<PhotoRequest>& requests, Nets& nets,
                          const CheckOptions& options) {
  Check check;
  check.trust_bar = options.trust_bar;
  const auto start = std::chrono::steady_clock::now();
  Stopwatch watch(check.ms);
  Result<std::vector<std::string>> sides = asked_sides(pack, requests);
  if (!sides) return tl::unexpected<Error>(sides.error());
  DebugPictures debug(options.debug_dir);
  std::vector<SideEvidence> evidence;
  for (std::size_t i = 0; i < requests.size(); ++i) {
    Result<CheckedPhoto> checked = check_photo(pack, requests[i], (*sides)[i], *sides, nets,
                                               options, watch, debug, check.note);
    if (!checked) return tl::unexpected<Error>(checked.error());
    (*sides)[i] = checked->side;
    checked->evidence.shot = {checked->photo.sha256, checked->photo.taken_at};
    evidence.push_back(checked->evidence);
    if (requests.size() > 1) let_go_of_pixels(checked->photo);
    check.photos.push_back(std::move(*checked));
  }
  check.judgement = judge(pack, evidence, options.trust_bar);
  watch.lap("judge");
  check.ms["total"] =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  const Result<void> written = debug.finish(pack, check);
  if (!written) return tl::unexpected<Error>(written.error());
  return check;
}

}  // namespace plumbstack
