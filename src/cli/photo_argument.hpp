// [SIDE[@EDGE]=]PHOTO -> PhotoRequest.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// nullopt for any other word.
std::optional<Edge> edge_named(const std::string& word);

/// @param slot_1_at for the photos that name no edge of their own
/// Errors: usage, side_unknown.
Result<std::vector<PhotoRequest>> photo_requests(const Pack& pack,
                                                 const std::vector<std::string>& arguments,
                                                 std::optional<Edge> slot_1_at);

}  // namespace plumbstack
