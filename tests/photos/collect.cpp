#include <algorithm>
#include <fstream>
#include <set>

#include "suite.hpp"

namespace plumbstack::suite {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

std::vector<fs::path> entries(const fs::path& folder) {
  std::vector<fs::path> found;
  if (fs::is_directory(folder))
    for (const auto& entry : fs::directory_iterator(folder)) found.push_back(entry.path());
  std::sort(found.begin(), found.end());
  return found;
}

bool is_photo(const fs::path& file) {
  static const std::set<std::string> kEndings{".jpg", ".jpeg", ".png", ".heic", ".tif"};
  return kEndings.contains(file.extension().string());
}

constexpr std::string_view kTruthEnding = ".truth.json";

Bucket read_bucket(const fs::path& folder, std::vector<std::string>& complaints) {
  Bucket bucket{folder.filename().string(), folder / "pack.json", {}};
  const auto complain = [&](const fs::path& file, const char* what) {
    complaints.push_back(bucket.name + "/" + file.filename().string() + ": " + what);
  };
  if (!fs::exists(bucket.pack_file)) complain(bucket.pack_file, "missing");
  for (const fs::path& file : entries(folder)) {
    const std::string name = file.filename().string();
    if (name.ends_with(kTruthEnding)) {
      const std::string stem = name.substr(0, name.size() - kTruthEnding.size());
      if (!fs::exists(folder / (stem + ".jpg"))) complain(file, "truth without its photo");
    }
    if (!is_photo(file)) continue;
    const fs::path truth_file = folder / (file.stem().string() + std::string(kTruthEnding));
    const Json truth = Json::parse(std::ifstream(truth_file), nullptr, false);
    if (truth.is_discarded() || !truth.contains("accept"))
      complain(file, "no truth beside it");
    else
      bucket.photos.push_back({file.stem().string(), file, truth});
  }
  if (bucket.photos.empty()) complain(folder, "no photo in this folder");
  return bucket;
}

}  // namespace

Collected collect(const std::vector<fs::path>& roots) {
  Collected collected;
  for (const fs::path& root : roots)
    for (const fs::path& folder : entries(root))
      if (fs::is_directory(folder))
        collected.buckets.push_back(read_bucket(folder, collected.complaints));
  if (collected.buckets.empty()) collected.complaints.emplace_back("no folder of photos found");
  return collected;
}

std::vector<std::string> compare_table(std::span<const Budget> table,
                                       std::span<const Either> either,
                                       const std::vector<Bucket>& buckets) {
  std::vector<std::string> complaints;
  std::set<std::string> there, listed;
  for (const Bucket& bucket : buckets)
    if (!there.insert(bucket.name).second)
      complaints.push_back(bucket.name + ": two folders of this name");
  for (const Budget& budget : table) {
    if (!listed.insert(budget.bucket).second)
      complaints.push_back(std::string(budget.bucket) + ": twice in the table of budgets");
    if (!there.contains(budget.bucket))
      complaints.push_back(std::string(budget.bucket) + ": in the table, but no folder of photos");
    if (budget.max_wrong > 0 && std::string_view(budget.why).empty())
      complaints.push_back(std::string(budget.bucket) + ": wrong ones allowed without a reason");
  }
  for (const std::string& name : there)
    if (!listed.contains(name))
      complaints.push_back(name + ": a folder of photos that the table of budgets does not list");
  for (const Either& e : either)
    if (!there.contains(e.bucket) || std::string_view(e.why).empty() ||
        std::count(std::begin(kVariants), std::end(kVariants), std::string_view(e.variant)) == 0)
      complaints.push_back(std::string(e.bucket) + "/" + e.photo + " " + e.variant +
                           ": listed as either, but no such check, or no reason");
  return complaints;
}

}  // namespace plumbstack::suite
