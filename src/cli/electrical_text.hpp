#pragma once

#include <filesystem>
#include <string>

#include "plumbstack/electrical.hpp"

namespace plumbstack {

/// What the technician reads in the terminal: what is to be fixed, what may explain the readings,
/// the row's voltage, where the files are, and the caution.
std::string electrical_text(const Pack& pack, const ElectricalInput& input, const Preview& preview,
                            const std::filesystem::path& out);

}  // namespace plumbstack
