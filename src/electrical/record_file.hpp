// A JSON document of this program's own: known by its schema and its pack.
#pragma once

#include <filesystem>

#include "plumbstack/base/json_reader.hpp"
#include "plumbstack/base/result.hpp"
#include "plumbstack/pack.hpp"

namespace plumbstack {

/// @param what "plan", "result": the schema is plumbstack/WHAT/1
/// Errors: record_unreadable, record_invalid.
Result<Json> parse_record(const std::string& json, const std::string& origin,
                          const std::string& what, const Pack& pack);

/// Error: the given code.
Result<std::string> read_file(const std::filesystem::path& file, std::size_t longest,
                              const std::string& what, ErrorCode code);

/// List of one object for each slot of the pack, in order; a fault where it is not.
void check_slots(const Json& slots, const std::string& path, const Pack& pack,
                 std::optional<std::string>& fault);

}  // namespace plumbstack
