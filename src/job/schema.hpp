#pragma once

#include <string>
#include <vector>

namespace plumbstack {

constexpr int kStoreVersion = 1;

/// Statements that make the tables of a new store. `entries` is the record; all else is an index
/// that can be made anew from it.
std::vector<std::string> schema_statements(bool postgresql);

}  // namespace plumbstack
