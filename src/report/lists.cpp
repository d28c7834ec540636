#include <fmt/format.h>

#include "parts.hpp"

namespace plumbstack::report {
namespace {

const char* place_words(JobModule::Place place) {
  switch (place) {
    case JobModule::planned: return "planned, not compared";
    case JobModule::compared: return "read off the module";
    case JobModule::differs: return "✗ not what is planned there";
    case JobModule::replaced: return "was in the pack before";
  }
  return "";
}

const char* standing_mark(const Job& job, LineStanding standing) {
  if (standing == LineStanding::done && job.source.record.fault) return "☐ not verified";
  switch (standing) {
    case LineStanding::open: return "☐ open";
    case LineStanding::done: return "☑ done";
    case LineStanding::failed: return "✗ failed";
    case LineStanding::voided: return "✗ taken back";
  }
  return "";
}

struct WhoWhen {
  std::string who, when, entry;
};
WhoWhen who_when(const Job& job, int place) {
  if (place == 0) return {};
  const JobEntry& entry = entry_of(job, place);
  return {entry.by, time_text(entry.at), std::to_string(place)};
}

// As the record and the left-to-do name it, and what it asks for.
std::string about(const CheckLine& line) {
  if (line.answer != Answer::figures) return line.id;
  return line.id + ", in " + line.unit + "; limits: " + limits_text(line);
}

const JobEntry* last_signature(const Job& job) {
  const JobEntry* last = nullptr;
  for (const JobEntry& entry : job.entries)
    if (std::holds_alternative<Signed>(entry.fact)) last = &entry;
  return last;
}

Row signature_row(const Job& job) {
  const JobEntry* signature = last_signature(job);
  if (!signature) return {{"☐ open", "A second person signs", "", "", "", ""}, true};
  const auto [who, when, entry] = who_when(job, signature->place);
  const bool counts = !job.state.signed_by.empty();
  return {{standing_mark(job, counts ? LineStanding::done : LineStanding::voided),
           "A second person signs",
           counts ? std::get<Signed>(signature->fact).note : "the record went on after it", who,
           when, entry},
          true};
}

}  // namespace

Section modules(const Job& job) {
  if (job.state.modules.empty())
    return {"Modules", false, {Paragraph{"The record holds no plan and no serials."}}};
  Table table{{{"Slot", 0.6, Align::right},
               {"Number", 0.8, Align::right},
               {"Serial", 3},
               {"How it is known", 2.4}},
              {}};
  for (const JobModule& module : job.state.modules) {
    const bool there = module.place != JobModule::replaced;
    table.rows.push_back(
        {{there ? std::to_string(module.slot) : "—", there ? std::to_string(module.number) : "—",
          module.serial, place_words(module.place)},
         false});
  }
  return {"Modules", false, {table}};
}

Section check_list(const Job& job) {
  Table table{{{"", 1.3},
               {"What", 3},
               {"Answer", 2.3},
               {"Who", 1.4},
               {"When (UTC)", 1.4},
               {"Entry", 0.8, Align::right}},
              {}};
  Stage stage = Stage::before;
  for (const LineState& line : job.state.lines) {
    const auto [who, when, entry] = who_when(job, line.entry);
    table.rows.push_back(
        {{standing_mark(job, line.standing), line.line.text, line.says, who, when, entry},
         line.line.stage != stage,
         about(line.line)});
    stage = line.line.stage;
  }
  table.rows.push_back(signature_row(job));
  return {"Check list", false, {table}};
}

Section entries(const Job& job) {
  Table table{
      {{"Entry", 0.7, Align::right}, {"When (UTC)", 1.2}, {"Kind", 1}, {"What", 4}, {"Who", 1.4}},
      {}};
  for (const JobEntry& entry : job.entries)
    table.rows.push_back({{std::to_string(entry.place), time_text(entry.at), kind_of(entry.fact),
                           fact_text(entry.fact), entry.by},
                          false});
  return {"All entries of the record", false, {table}};
}

Section proof(const Job& job) {
  const auto many = job.entries.size();
  Section section{"What proves this report", false, {}};
  const auto say = [&](const std::string& text) { section.pieces.push_back(Paragraph{text}); };
  if (job.source.record.fault) {
    say(fmt::format("NOT VERIFIED. Entries 1 to {} hold the SHA-256 of the one before each. {} {}.",
                    many, job.source.record.fault->where, job.source.record.fault->message));
  } else {
    say(
        fmt::format("Verified: entries 1 to {} each hold the SHA-256 of the one before, none is "
                    "missing, and every file below is what its hash says.",
                    many));
  }
  say(fmt::format("SHA-256 of entry {}:", many));
  say(job.source.record.head);
  say(
      fmt::format("plumbstack job verify with --head and this hash shows whether the record is "
                  "still the one this report was made from; once the job is closed it is the hash "
                  "to keep on paper. The record proves that it was not changed, not that what was "
                  "typed into it is true. Made by plumbstack {}.",
                  PLUMBSTACK_VERSION));
  Table table{{{"Entry", 0.5, Align::right}, {"Kind", 0.8}, {"File", 4}}, {}};
  for (const JobEntry& entry : job.entries)
    for (const KeptFile& file : files_of(entry.fact))
      table.rows.push_back({{std::to_string(entry.place), kind_of(entry.fact), file.name},
                            false,
                            "SHA-256 " + file.sha256});
  section.pieces.push_back(table);
  return section;
}

}  // namespace plumbstack::report
