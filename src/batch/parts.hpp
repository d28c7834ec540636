// What the files of this folder share.
#pragma once

#include <filesystem>
#include <string>

#include "plumbstack/archive.hpp"
#include "plumbstack/batch.hpp"

namespace plumbstack {

/// Where a stack's pictures, report and entry go.
std::filesystem::path folder_of(const std::filesystem::path& out, const std::string& stack);

/// "pack X has no side Y; it has ...".
std::string no_such_side(const Pack& pack, const std::string& side);

/// Whether a file, all links followed, lies in the folder.
bool lies_within(const std::filesystem::path& file, const std::filesystem::path& root);

/// nullopt for any other word.
std::optional<Edge> edge_of_word(const std::string& word);

/// The stacks that manifest.csv names. Errors: sheet_unreadable, sheet_invalid, with the place.
Result<void> read_manifest(Archive& archive);

/// Checks one stack, writes its pictures and report, and gives what is to be known of it.
/// Error: output_unwritable; all else is in the entry.
Result<BatchEntry> check_entry(const Archive& archive, const ArchiveStack& stack, PackBook& packs,
                               Nets& nets, const BatchOptions& options,
                               const std::filesystem::path& out);

Result<void> save_entry(const std::filesystem::path& out, const BatchEntry& entry);
/// nullopt where there is none that can be read.
std::optional<BatchEntry> saved_entry(const std::filesystem::path& out, const std::string& stack);

/// What an entry must have been made from to be taken over; empty where a photo can't be read.
std::string key_now(const Archive& archive, const ArchiveStack& stack, PackBook& packs);

}  // namespace plumbstack
