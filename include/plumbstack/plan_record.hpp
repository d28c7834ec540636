// Plan -> what is kept and worked from: plan.json and the stacking sheet (HTML and PDF).
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>

#include "plumbstack/base/paper.hpp"
#include "plumbstack/plan.hpp"

namespace plumbstack {

/// The plan document (plumbstack/plan/1); amounts with six decimals at most.
nlohmann::ordered_json plan_json(const Pack& pack, const TestSheet& sheet, const Plan& plan);

/// The stacking sheet as one self-contained HTML page: cautions, the order of the modules, for
/// every side what each slot must show, blocks, spares, refused modules.
std::string stacking_sheet_html(const Pack& pack, const TestSheet& sheet, const Plan& plan);

/// The same as PDF: vector text, numbered pages, laid out so that it fits A4 and Letter alike.
/// Error: internal, where cairo fails.
Result<std::string> stacking_sheet_pdf(const Pack& pack, const TestSheet& sheet, const Plan& plan,
                                       Paper paper = Paper::a4);

/// Renames the files of an older plan in the folder. Error: output_unwritable.
Result<void> retire_old_plan(const std::filesystem::path& folder);

/// Writes stacking-sheet.html, stacking-sheet.pdf and plan.json, all under temporary names first
/// and then renamed, plan.json last; after a failure none of them is left. Error:
/// output_unwritable.
Result<void> write_plan(const std::filesystem::path& folder, const Pack& pack,
                        const TestSheet& sheet, const Plan& plan, Paper paper = Paper::a4);

}  // namespace plumbstack
