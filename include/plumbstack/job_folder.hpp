// One job as a folder, for another store or for whoever asks: job.json (its entries as they are
// sealed), files/ (everything it names, by hash), and for looking at only: pictures/ (the same
// under names that a person knows), how the job stands, and its report.
#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "plumbstack/job_store.hpp"

namespace plumbstack {

/// @param to_look_at name and bytes of what is not read again: it follows from the entries
/// The folder appears whole or not at all. Errors: output_unwritable, where it is there already or
/// can't be written; what `entries` and `bytes_of` give.
Result<void> export_job(const JobStore& store, const std::string& number,
                        const std::filesystem::path& folder,
                        const std::map<std::string, std::string>& to_look_at);

/// Takes the job into the store, once its chain holds and every file is what its hash says. Nothing
/// else of the folder is believed, so nothing else is read.
/// @return its number
/// Errors: document_invalid, record_damaged, store_unusable (a newer program wrote it),
/// job_refused.
Result<std::string> import_job(JobStore& store, const std::filesystem::path& folder);

}  // namespace plumbstack
