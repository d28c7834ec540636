// The two forms of a manifest, read into the same rows.
#pragma once

#include <string>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct ManifestRow {
  std::string stack, side, file, pack, slot_1;  // empty = not said
  std::string place;                            // "line 5", or a JSON pointer (RFC 6901)
};

/// Errors: sheet_unreadable, sheet_invalid, with the line.
Result<std::vector<ManifestRow>> rows_of_csv(const std::string& text, const std::string& origin);
/// Errors: sheet_unreadable, sheet_invalid, with the pointer.
Result<std::vector<ManifestRow>> rows_of_json(const std::string& text, const std::string& origin);

}  // namespace plumbstack
