#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/electrical_record.hpp"

namespace plumbstack {
namespace {

constexpr const char* kPage = "electrical.html";
constexpr const char* kDocument = "electrical.json";

}  // namespace

Result<void> retire_old_preview(const std::filesystem::path& folder) {
  for (const char* name : {kDocument, kPage})
    if (auto retired = retire_file(folder, name); !retired) return retired;
  return {};
}

Result<void> write_preview(const std::filesystem::path& folder, const Pack& pack,
                           const ElectricalInput& input, const Preview& preview) {
  const std::string json = electrical_json(pack, input, preview).dump(1) + "\n";
  StagedFiles staged(folder);
  if (auto added = staged.add(kPage, electrical_html(pack, input, preview)); !added) return added;
  if (auto added = staged.add(kDocument, json); !added) return added;
  return staged.commit();
}

}  // namespace plumbstack
