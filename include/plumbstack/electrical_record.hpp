// Preview -> what is kept and worked from: electrical.json and electrical.html.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "plumbstack/electrical.hpp"

namespace plumbstack {

/// The preview document (plumbstack/electrical/1); volts with four decimals.
nlohmann::ordered_json electrical_json(const Pack& pack, const ElectricalInput& input,
                                       const Preview& preview);

/// One self-contained HTML page that prints on A4 and Letter: what to do, cautions, the row as a
/// diagram, taps, bus bars, what may explain the readings, check list, assumptions.
std::string electrical_html(const Pack& pack, const ElectricalInput& input, const Preview& preview);

/// What a person must know who works by the preview.
std::vector<std::string> electrical_cautions(const Preview& preview);

/// Renames the files of an older preview in the folder. Error: output_unwritable.
Result<void> retire_old_preview(const std::filesystem::path& folder);

/// Writes electrical.html and electrical.json, both under temporary names first and then renamed,
/// the document last; after a failure none of them is left. Error: output_unwritable.
Result<void> write_preview(const std::filesystem::path& folder, const Pack& pack,
                           const ElectricalInput& input, const Preview& preview);

}  // namespace plumbstack
