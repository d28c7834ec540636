// First how the job stands, then what that rests on, then the whole record, then what proves it.
#include "plumbstack/job_report.hpp"

#include <fmt/format.h>

#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"

namespace plumbstack {
namespace {

using namespace report;

std::optional<Pack> pack_of(const ReportSource& source, const Opened& opened) {
  const auto text = source.bytes_of(opened.pack);
  if (!text) return std::nullopt;
  auto pack = parse_pack(*text, opened.pack.name);
  if (!pack) return std::nullopt;
  return std::move(*pack);
}

std::string pack_words(const Job& job) {
  const Opened& opened = job.state.opened;
  return fmt::format("{}{}, {} modules", opened.pack_id, job.pack ? ", " + job.pack->name : "",
                     opened.modules);
}

Table facts(const Job& job) {
  const JobState& state = job.state;
  Table table{{{"The job", 1}, {"", 3}}, {}};
  const auto row = [&](const std::string& what, const std::string& text) {
    table.rows.push_back({{what, text.empty() ? "—" : text}, false});
  };
  row("Job number", state.number);
  row("Pack", pack_words(job));
  row("Customer's reference", state.opened.customer);
  row("Technician", state.technician);
  row("Opened", time_text(state.opened_at) + " UTC");
  row("Signed by a second person", state.signed_by.empty() ? "no" : state.signed_by);
  row("Closed", state.closed_at.empty()
                    ? "no"
                    : time_text(state.closed_at) + " UTC, by " + state.closed_by +
                          (state.abandoned.empty() ? "" : ", unfinished: " + state.abandoned));
  row("Verdict now valid", job.source.record.fault ? "NONE, the record is damaged"
                                                   : capitals(name_of(state.verdict.verdict)));
  row("Record",
      fmt::format("{}, entries 1 to {}", job.source.record.fault ? "NOT VERIFIED" : "verified",
                  job.entries.size()));
  return table;
}

std::string voltage_caution(const Job& job) {
  constexpr double kHighV = 60;  // DC, above it: high voltage (UN ECE R100)
  if (!job.pack || !job.pack->electrical)
    return "Modules stay charged: a pack like this holds a voltage that kills.";
  const ElectricalRule& rule = *job.pack->electrical;
  const double volts = job.pack->modules * rule.cells_per_module * rule.charged_v_per_cell;
  return "Modules stay charged. Charged, this pack can stand at about " + fixed(volts, 0) +
         " V DC" + (volts > kHighV ? ": that kills." : "; joined to others it can kill.");
}

Caution cautions(const Job& job) {
  return {"Caution: high voltage",
          {voltage_caution(job),
           "Open or work on the pack only if you are trained and licensed for it, with insulated "
           "tools and gloves rated for the voltage, and not alone.",
           "Local codes, licensed practice and the maker's instructions come first. A pass says "
           "what photos showed and what persons recorded; it does not say that a module, or the "
           "pack, is safe."}};
}

Section first_page(const Job& job) {
  Section section{"", false, {standing(job), facts(job), cautions(job)}};
  if (job.state.remarks.empty()) return section;
  Table odd{{{"Out of the ordinary", 1}}, {}};
  for (const std::string& remark : job.state.remarks) odd.rows.push_back({{remark}, false});
  section.pieces.push_back(odd);
  return section;
}

}  // namespace

Document job_report(const ReportSource& source) {
  const std::vector<JobEntry>& all = source.record.entries;
  const Job job{source, all, job_state(all), pack_of(source, std::get<Opened>(all.front().fact))};
  Document document;
  document.title = "Job " + job.state.number;
  document.subtitle = "Report of a rebuilt battery pack. " + pack_words(job) + ".";
  document.header = document.title;
  document.standing = standing(job);
  document.footer = "plumbstack " PLUMBSTACK_VERSION ". High voltage: qualified people only.";
  document.made_at = all.back().at;
  document.sections.push_back(first_page(job));
  add_checks(job, document);
  document.sections.push_back(modules(job));
  add_electrical(job, document);
  document.sections.push_back(check_list(job));
  document.sections.push_back(entries(job));
  document.sections.push_back(proof(job));
  return document;
}

}  // namespace plumbstack
