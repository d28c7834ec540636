// Check -> what is kept and shown: result.json, annotated photos, report.html.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <opencv2/core.hpp>
#include <string>
#include <vector>

#include "plumbstack/check_stack.hpp"

namespace plumbstack {

/// The result document (plumbstack/result/1); keys in the order of the published example.
nlohmann::ordered_json result_json(const Pack& pack, const Check& check);

/// The photo with every strip outlined, its reading beside it, faults marked by shape as well as by
/// colour, offsets in mm, and the verdict in letters that read at arm's length. 8-bit BGR, of the
/// photo's size up to 12.5 megapixels, else smaller. Where the labels find no room beside the stack
/// the photo is drawn shifted or smaller on its canvas: its pixels are not those of the result.
cv::Mat annotated_photo(const Pack& pack, const Check& check, std::size_t photo_index);

/// One self-contained HTML page: verdict, cautions, what to do, pictures, ladder, table of slots.
/// @param annotated one picture per photo of the check, in its order
std::string report_html(const Pack& pack, const Check& check,
                        const std::vector<cv::Mat>& annotated);

/// File name of each photo's annotated picture, in the order of the photos: <stem>.annotated.jpg,
/// with -2, -3 ... after the stem where two photos share one.
std::vector<std::string> picture_names(const Check& check);

/// Renames an old result.json to result.previous.json. Called before anything is decoded, so that a
/// run that fails leaves no old verdict in place. Error: output_unwritable.
Result<void> retire_old_result(const std::filesystem::path& folder);

/// Writes the annotated pictures, report.html and result.json, all under temporary names first and
/// then renamed, result.json last; after a failure none of them is left. Error: output_unwritable.
Result<void> write_record(const std::filesystem::path& folder, const Pack& pack,
                          const Check& check);

}  // namespace plumbstack
