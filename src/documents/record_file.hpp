// A JSON document of this program's own: known by its schema and its pack.
#pragma once

#include "plumbstack/base/json_reader.hpp"
#include "plumbstack/documents.hpp"

namespace plumbstack {

/// @param what "plan", "result": the schema is plumbstack/WHAT/1
/// Errors: record_unreadable, record_invalid.
Result<Json> parse_record(const std::string& json, const std::string& origin,
                          const std::string& what, const Pack& pack);

/// List of one object for each slot of the pack, in order; a fault where it is not.
void check_slots(const Json& slots, const std::string& path, const Pack& pack,
                 std::optional<std::string>& fault);

}  // namespace plumbstack
