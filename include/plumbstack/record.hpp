// Check -> what is kept and shown: result.json, annotated photos, report.html.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <string>

#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// The result document (plumbstack/result/1); keys in the order of the published example.
nlohmann::ordered_json result_json(const Pack& pack, const Check& check);

/// The photo with every strip outlined, its reading beside it, faults marked by shape as well as by
/// colour, offsets in mm, and the verdict in letters that read at arm's length. 8-bit BGR.
cv::Mat annotated_photo(const Pack& pack, const Check& check, std::size_t photo_index);

/// One self-contained HTML page: verdict, cautions, what to do, pictures, ladder, table of slots.
/// @param annotated one picture per photo of the check, in its order
std::string report_html(const Pack& pack, const Check& check,
                        const std::vector<cv::Mat>& annotated);

/// Renames an old result.json to result.previous.json. Called before anything is decoded, so that a
/// run that fails leaves no old verdict in place. Error: output_unwritable.
Result<void> retire_old_result(const std::filesystem::path& folder);

/// Writes result.json, <stem>.annotated.jpg and report.html, each under a temporary name and then
/// renamed, result.json last. Error: output_unwritable.
Result<void> write_record(const std::filesystem::path& folder, const Pack& pack,
                          const Check& check);

}  // namespace plumbstack
