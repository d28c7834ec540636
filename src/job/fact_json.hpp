#pragma once

#include <nlohmann/json.hpp>

#include "plumbstack/job_entry.hpp"

namespace plumbstack {

/// What an entry says, as JSON.
nlohmann::json json_of(const Fact& fact);

/// @param kind as kind_of gives it. Throws nlohmann::json::exception where the JSON does not hold
/// what the kind needs; nullopt where the kind is unknown.
std::optional<Fact> fact_of(const std::string& kind, const nlohmann::json& json);

}  // namespace plumbstack
