// What the parts of the report share.
#pragma once

#include "plumbstack/job_report.hpp"
#include "plumbstack/pack.hpp"

namespace plumbstack::report {

/// What all parts look at.
struct Job {
  const ReportSource& source;
  const std::vector<JobEntry>& entries;
  JobState state;
  std::optional<Pack> pack;  // nullopt = its definition is lost
};

/// "2026-03-02 07:00:00", of RFC 3339 in UTC or of EXIF; as it is where it is neither.
std::string time_text(const std::string& time);
/// The same, "not told" where there is none.
std::string taken_text(const std::string& taken_at);
/// At most so many characters of it, cut with "…".
std::string shortened(const std::string& text, std::size_t most);
std::string capitals(const std::string& ascii);
std::string listed_slots(const std::vector<int>& slots);  // "3, 5"; "" for none
std::string slots_text(const std::vector<int>& slots);    // "slot 3", "slots 3, 5"
/// "7.86, 7.85 V"
std::string figures_text(const std::vector<double>& figures, const std::string& unit);
/// "at least 0.14 MΩ, at most 5 MΩ"
std::string limits_text(const CheckLine& line);
/// What a fact says, for the list of all entries.
std::string fact_text(const Fact& fact);
const JobEntry& entry_of(const Job& job, int place);

/// The first thing that is seen.
Banner standing(const Job& job);

enum class Shown { plain, struck_out };

/// A kept picture, scaled down; struck out where it shows a verdict that holds no more.
/// @param longest px
Picture picture(const Job& job, const KeptFile& file, const std::string& about,
                std::vector<std::string> caption, Shown how = Shown::plain, int longest = 1000);

/// Each check: photos, findings, pictures; the chains from fault to check again; readings that
/// persons confirmed; other photos.
void add_checks(const Job& job, Document& document);

void add_electrical(const Job& job, Document& document);

Section modules(const Job& job);
Section check_list(const Job& job);
Section entries(const Job& job);
Section proof(const Job& job);

}  // namespace plumbstack::report
