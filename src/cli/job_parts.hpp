// The steps of `plumbstack job`, one function each.
#pragma once

#include <cstdint>
#include <iosfwd>
#include <span>

#include "job_command.hpp"

namespace plumbstack::job {

/// Opens the store that the arguments name. Errors: usage, store_unusable, output_unwritable.
Result<JobStore> store_of(const JobArguments& arguments, bool create = false);

/// Appends, and prints the acknowledgement once the entry is on the disk. @return the state after
/// it
Result<JobState> append(JobStore& store, const JobArguments& arguments,
                        const JobStore::Decide& decide, std::ostream& say);

std::span<const std::uint8_t> bytes_in(const std::string& text);

/// "verdict now valid: retake (why)", with its end.
std::string verdict_line(const VerdictState& verdict);

/// The pack definition as it was when the job was opened. Errors: job_unknown, record_damaged and
/// those of parse_pack.
Result<Pack> pack_of(const JobStore& store, const std::string& number);

/// Whole file. Error: document_invalid.
Result<std::string> read_whole(const std::filesystem::path& file, const std::string& what);

Result<ExitCode> open(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> attach(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> serials(const JobArguments& arguments, std::istream& in, std::ostream& say);
Result<ExitCode> tick(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> correct(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> lift(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> unsure(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> confirm(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> sign(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> close(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> show(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> verify(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> find(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> report(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> export_to(const JobArguments& arguments, std::ostream& say);
Result<ExitCode> import_from(const JobArguments& arguments, std::ostream& say);

/// How a job stands, for a person.
std::string job_text(const std::vector<JobEntry>& entries);
/// The same for a program: {"job": ..., "verdict": ..., "lines": [...], ...}.
std::string job_json(const std::vector<JobEntry>& entries);
/// "FL-0142 entry 7 ticked": written once the entry is on the disk, and only then.
std::string acknowledged(const JobEntry& entry);
std::string caution();

}  // namespace plumbstack::job
