#pragma once

#include <filesystem>
#include <string>

#include "plumbstack/plan.hpp"

namespace plumbstack {

/// What the technician reads in the terminal: the blocks, their spread, what stays out and why,
/// where the files are, and the caution.
std::string plan_text(const Pack& pack, const TestSheet& sheet, const Plan& plan,
                      const std::filesystem::path& out);

}  // namespace plumbstack
