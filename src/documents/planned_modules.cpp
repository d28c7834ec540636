#include <algorithm>
#include <set>

#include "record_file.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kLongestPlan = 4 << 20;  // bytes; 200 modules with many columns have 100 KiB

PlannedModule planned_module(const Json& json, int slot, std::optional<std::string>& fault) {
  JsonReader in(json, "slots." + std::to_string(slot - 1), fault);
  PlannedModule module;
  module.number = in.whole("number", 0, 10198);  // first is 9999 at most, slots are 200
  module.serial = in.text("serial");
  module.voltage_v = in.number_if("voltage_v", 0, 100);
  return module;
}

// Scanners send control characters with some codes; they would hide in a record.
bool is_plain(const std::string& text) {
  return std::all_of(text.begin(), text.end(),
                     [](unsigned char c) { return c >= ' ' && c != 127; });
}

void refuse_odd_serials(const std::vector<PlannedModule>& modules,
                        std::optional<std::string>& fault) {
  std::set<std::string> seen;
  for (std::size_t i = 0; i < modules.size() && !fault; ++i) {
    const std::string path = "slots." + std::to_string(i) + ".serial";
    if (!is_plain(modules[i].serial)) fault = path + " holds a control character";
    if (!seen.insert(modules[i].serial).second)
      fault = path + " stands in another slot already (" + modules[i].serial + ")";
  }
}

}  // namespace

Result<std::vector<PlannedModule>> parse_planned_modules(const std::string& json,
                                                         const std::string& origin,
                                                         const Pack& pack) {
  const auto document = parse_record(json, origin, "plan", pack);
  if (!document) return tl::unexpected(document.error());
  std::optional<std::string> fault;
  const Json slots = document->value("slots", Json());
  check_slots(slots, "slots", pack, fault);
  std::vector<PlannedModule> modules;
  for (int slot = 1; slot <= pack.modules && !fault; ++slot)
    modules.push_back(planned_module(slots[static_cast<std::size_t>(slot - 1)], slot, fault));
  refuse_odd_serials(modules, fault);
  if (fault) return fail(ErrorCode::record_invalid, *fault, origin);
  return modules;
}

Result<std::vector<PlannedModule>> load_planned_modules(const std::filesystem::path& file,
                                                        const Pack& pack) {
  const auto text = read_file(file, kLongestPlan, "plan", ErrorCode::record_unreadable);
  if (!text) return tl::unexpected(text.error());
  return parse_planned_modules(*text, file.string(), pack);
}

}  // namespace plumbstack
