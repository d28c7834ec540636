#include <fmt/format.h>

#include <algorithm>

#include "parts.hpp"
#include "plumbstack/job_documents.hpp"

namespace plumbstack::report {
namespace {

constexpr int kStripLongest = 1200;  // px: a strip is wide and low

std::vector<int> checks_of(const Job& job) {
  std::vector<int> places;
  for (const JobEntry& entry : job.entries)
    if (std::holds_alternative<ResultAttached>(entry.fact)) places.push_back(entry.place);
  return places;
}

Table photo_table(const ResultAttached& result) {
  Table table{{{"Side", 1.2}, {"Photo", 2.4}, {"Taken (camera's clock)", 1.8}, {"Verdict", 0.8}},
              {}};
  for (const ResultPhoto& photo : result.photos)
    table.rows.push_back(
        {{photo.side, photo.file.name, taken_text(photo.taken_at), capitals(photo.verdict)},
         false,
         "SHA-256 " + photo.file.sha256});
  for (const std::string& side : result.missing_sides)
    table.rows.push_back({{side, "no photo", "", "RETAKE"}, false});
  return table;
}

Table finding_table(const ResultAttached& result) {
  Table table{{{"", 0.8}, {"Finding", 1.5}, {"Side", 1.1}, {"Slots", 1}, {"What was seen", 3.6}},
              {}};
  for (const ResultFinding& finding : result.findings)
    table.rows.push_back(
        {{capitals(finding.severity), finding.code, finding.side.empty() ? "all" : finding.side,
          listed_slots(finding.slots), finding.message},
         false});
  return table;
}

const KeptFile* annotated(const ResultAttached& result, const std::string& name) {
  const auto at = std::find_if(result.pictures.begin(), result.pictures.end(),
                               [&](const KeptFile& one) { return one.name == name; });
  return at == result.pictures.end() ? nullptr : &*at;
}

enum class Rest { valid, replaced, taken_back, unproved };

Rest rest_of(const Job& job, const std::vector<int>& checks, std::size_t i) {
  if (i + 1 < checks.size()) return Rest::replaced;
  if (job.source.record.fault) return Rest::unproved;
  return job.state.verdict.verdict == JobVerdict::voided ? Rest::taken_back : Rest::valid;
}

std::string where_it_stands(const Job& job, const std::vector<int>& checks, std::size_t i) {
  switch (rest_of(job, checks, i)) {
    case Rest::replaced: return fmt::format("Replaced by the check in entry {}.", checks[i + 1]);
    case Rest::unproved: return "What came after it is damaged, so it proves nothing now.";
    case Rest::taken_back:
      return fmt::format("Taken back by entry {}: {}.", job.state.verdict.voided_by,
                         job.state.verdict.why);
    case Rest::valid: return "The verdict now valid rests on it.";
  }
  return "";
}

void add_pictures(const Job& job, const ResultAttached& result, bool valid, Section& section) {
  const std::vector<std::string> names = annotated_names(result);
  for (std::size_t i = 0; i < result.photos.size(); ++i) {
    const ResultPhoto& photo = result.photos[i];
    const std::string side = "Side " + photo.side;
    PictureRow row;
    row.pictures.push_back(
        picture(job, photo.file, side + ", the photo", {side + ", photo " + photo.file.name}));
    if (const KeptFile* file = annotated(result, names[i]))
      row.pictures.push_back(picture(
          job, *file, side + ", as the check read it",
          {side + ", as the check read it: " + photo.verdict + (valid ? "" : ", no longer valid")},
          valid ? Shown::plain : Shown::struck_out));
    section.pieces.push_back(std::move(row));
  }
}

Section check(const Job& job, const std::vector<int>& checks, std::size_t i) {
  const JobEntry& entry = entry_of(job, checks[i]);
  const auto& result = std::get<ResultAttached>(entry.fact);
  std::string title =
      fmt::format("Check {} of {}: {}", i + 1, checks.size(), capitals(result.verdict));
  const bool valid = rest_of(job, checks, i) == Rest::valid;
  if (!valid)
    title += ", no longer valid";
  else if (!job.state.verdict.confirmations.empty())
    title += ", lifted by what a person reads";
  std::string about =
      fmt::format("Entry {}, {} UTC, attached by {}.", entry.place, time_text(entry.at), entry.by);
  if (result.rechecks != 0)
    about += fmt::format(" Follows the check in entry {}.", result.rechecks);
  Section section{title, false, {Paragraph{about + " " + where_it_stands(job, checks, i)}}};
  section.pieces.push_back(photo_table(result));
  if (result.findings.empty())
    section.pieces.push_back(Paragraph{"The check found nothing to report."});
  else
    section.pieces.push_back(finding_table(result));
  add_pictures(job, result, valid, section);
  return section;
}

std::string step_text(const JobEntry& entry, bool first) {
  if (const auto* result = std::get_if<ResultAttached>(&entry.fact)) {
    const auto fault =
        std::find_if(result->findings.begin(), result->findings.end(),
                     [](const ResultFinding& one) { return one.severity != "note"; });
    return std::string(first ? "checked: " : "checked again: ") + capitals(result->verdict) +
           (fault == result->findings.end() ? ""
                                            : " (" + fault->code + ": " + fault->message + ")");
  }
  const auto& lifted = std::get<ModulesLifted>(entry.fact);
  return fmt::format("lifted, {}: {}", slots_text(lifted.slots), lifted.reason);
}

Section chains(const Job& job) {
  Section section{"From fault to check again", false, {}};
  Table table{{{"Entry", 0.6, Align::right}, {"When (UTC)", 1.5}, {"What", 4.2}, {"Who", 1.4}}, {}};
  for (const std::vector<int>& chain : job.state.chains)
    for (const int place : chain) {
      const JobEntry& entry = entry_of(job, place);
      const bool first = place == chain.front();
      table.rows.push_back(
          {{std::to_string(place), time_text(entry.at), step_text(entry, first), entry.by}, first});
    }
  section.pieces.push_back(table);
  return section;
}

bool counts(const Job& job, int place) {
  const std::vector<int>& those = job.state.verdict.confirmations;
  return !job.source.record.fault && job.state.verdict.verdict == JobVerdict::pass &&
         std::find(those.begin(), those.end(), place) != those.end();
}

Section confirmations(const Job& job) {
  Section section{
      "Readings confirmed by a person",
      false,
      {Paragraph{"Each reading is tied to the very picture that the person looked at and "
                 "handed in with it."}}};
  for (const JobEntry& entry : job.entries) {
    const auto* one = std::get_if<ReadingConfirmed>(&entry.fact);
    if (!one) continue;
    const std::string reads =
        fmt::format("{} reads {} {} on side {}, slot {}; planned is {}{}", entry.by, one->mark,
                    one->reads, one->side, one->slot, one->planned,
                    one->reads == one->planned ? "." : ": NOT WHAT IS PLANNED.");
    const std::string about = fmt::format(
        "Entry {}, {} UTC, for the check in entry {}. {}", entry.place, time_text(entry.at),
        one->result, counts(job, entry.place) ? "It counts." : "It does not count now.");
    section.pieces.push_back(
        PictureRow{{picture(job, one->crop, reads, {reads, about, "SHA-256 " + one->crop.sha256},
                            Shown::plain, kStripLongest)},
                   1});
  }
  return section;
}

Section other_photos(const Job& job) {
  Section section{"Other photos", false, {}};
  std::vector<Picture> pictures;
  for (const JobEntry& entry : job.entries) {
    const auto* photo = std::get_if<PhotoAttached>(&entry.fact);
    if (!photo) continue;
    pictures.push_back(
        picture(job, photo->file, photo->shows,
                {photo->shows, photo->file.name + ", taken " + taken_text(photo->taken_at),
                 fmt::format("Entry {}, {} UTC, {}", entry.place, time_text(entry.at), entry.by)}));
  }
  for (std::size_t i = 0; i < pictures.size(); i += 2) {
    const auto from = pictures.begin() + static_cast<std::ptrdiff_t>(i);
    section.pieces.push_back(PictureRow{{from, i + 1 < pictures.size() ? from + 2 : from + 1}});
  }
  return section;
}

template <typename T>
bool any(const Job& job) {
  return std::any_of(job.entries.begin(), job.entries.end(),
                     [](const JobEntry& one) { return std::holds_alternative<T>(one.fact); });
}

}  // namespace

void add_checks(const Job& job, Document& document) {
  const std::vector<int> checks = checks_of(job);
  if (checks.empty())
    document.sections.push_back(
        {"Checks", false, {Paragraph{"No photos of this stack were checked."}}});
  for (std::size_t i = 0; i < checks.size(); ++i)
    document.sections.push_back(check(job, checks, i));
  if (!job.state.chains.empty()) document.sections.push_back(chains(job));
  if (any<ReadingConfirmed>(job)) document.sections.push_back(confirmations(job));
  if (any<PhotoAttached>(job)) document.sections.push_back(other_photos(job));
}

}  // namespace plumbstack::report
