// One job as a folder, for another store or for whoever asks: job.json (its entries as they are
// sealed), state.json (how it stands), files/ (everything it names, by hash) and pictures/ (the
// same under names that a person knows, only for looking at).
#pragma once

#include <filesystem>

#include "plumbstack/job_store.hpp"

namespace plumbstack {

/// @param state_json what to write to state.json
/// The folder appears whole or not at all. Errors: output_unwritable, where it is there already or
/// can't be written; what `entries` and `bytes_of` give.
Result<void> export_job(const JobStore& store, const std::string& number,
                        const std::filesystem::path& folder, const std::string& state_json);

/// Takes the job into the store, once its chain holds and every file is what its hash says.
/// @return its number
/// Errors: document_invalid, record_damaged, store_unusable (a newer program wrote it),
/// job_refused.
Result<std::string> import_job(JobStore& store, const std::filesystem::path& folder);

}  // namespace plumbstack
