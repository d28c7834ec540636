#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/plan_record.hpp"

namespace plumbstack {
namespace {

constexpr const char* kPage = "stacking-sheet.html";
constexpr const char* kPdf = "stacking-sheet.pdf";
constexpr const char* kPlan = "plan.json";

}  // namespace

Result<void> retire_old_plan(const std::filesystem::path& folder) {
  for (const char* name : {kPlan, kPage, kPdf})
    if (auto retired = retire_file(folder, name); !retired) return retired;
  return {};
}

Result<void> write_plan(const std::filesystem::path& folder, const Pack& pack,
                        const TestSheet& sheet, const Plan& plan, Paper paper) {
  const auto pdf = stacking_sheet_pdf(pack, sheet, plan, paper);
  if (!pdf) return tl::unexpected(pdf.error());
  // The texts of a pack definition are UTF-8 as JSON has it; the sheet's were checked.
  const std::string json = plan_json(pack, sheet, plan).dump(1) + "\n";
  StagedFiles staged(folder);
  if (auto added = staged.add(kPage, stacking_sheet_html(pack, sheet, plan)); !added) return added;
  if (auto added = staged.add(kPdf, *pdf); !added) return added;
  if (auto added = staged.add(kPlan, json); !added) return added;
  return staged.commit();
}

}  // namespace plumbstack
