#pragma once

#include <filesystem>
#include <string>

#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// What the technician reads in the terminal: verdict, each side, what is wrong and what to do,
/// where the files are, and the caution.
std::string verdict_text(const Pack& pack, const Check& check, const std::filesystem::path& out);

}  // namespace plumbstack
