// What the files of this folder share.
#pragma once

#include <filesystem>
#include <string>

#include "plumbstack/archive.hpp"
#include "plumbstack/batch.hpp"

namespace plumbstack {

constexpr const char* kEntryFile = "entry.json";

/// Where a stack's pictures, report and entry go.
std::filesystem::path folder_of(const std::filesystem::path& out, const std::string& stack);

/// "pack X has no side Y; it has ...".
std::string no_such_side(const Pack& pack, const std::string& side);

/// Whether a file, all links followed, lies in the folder.
bool lies_within(const std::filesystem::path& file, const std::filesystem::path& root);

/// nullopt for any other word.
std::optional<Edge> edge_of_word(const std::string& word);

/// The stacks that manifest.csv or manifest.json names; false where there is neither. Errors:
/// sheet_unreadable, sheet_invalid, with the place.
Result<bool> read_manifest(Archive& archive);

/// Checks one stack, writes its pictures and report into the folder, from which what an earlier
/// check left is taken first, and gives what is to be known of the stack.
/// @param root of the archive
/// Error: output_unwritable; all else is in the entry.
Result<BatchEntry> check_entry(const std::filesystem::path& root, const ArchiveStack& stack,
                               PackBook& packs, Nets& nets, const PhotoOptions& options,
                               const std::filesystem::path& folder);

/// How long a stack may take: so long for each of its photos.
std::chrono::milliseconds stack_limit(std::chrono::milliseconds photo, const ArchiveStack& stack);

Result<void> save_entry(const std::filesystem::path& folder, const BatchEntry& entry);
/// Of a stack whose check was lost: the worker may have died before it took away what an earlier
/// check left, or after it had written the first files of its own. Error: output_unwritable.
Result<void> save_failure(const std::filesystem::path& folder, const std::string& stack,
                          const std::string& why);
/// nullopt where there is none that can be read.
std::optional<BatchEntry> saved_entry(const std::filesystem::path& folder,
                                      const std::string& stack);
/// The entry, if the stack was checked from the same photos, pack and version. Hashes the photos.
std::optional<BatchEntry> entry_of_same(const std::filesystem::path& root,
                                        const ArchiveStack& stack, PackBook& packs,
                                        const std::filesystem::path& folder);
/// Takes away the entry, its pictures and its report; result.json is kept as result.previous.json.
/// Error: output_unwritable.
Result<void> retire_entry(const std::filesystem::path& folder);

}  // namespace plumbstack
