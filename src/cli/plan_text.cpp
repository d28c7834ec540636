#include "plan_text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace plumbstack {
namespace {

constexpr const char* kCaution =
    "Caution, high voltage. Qualified people only, with insulated tools and gloves. Local codes "
    "and\n"
    "licensed practice come first. Check the assembled stack before any bus bar is fitted.\n";

std::string block_lines(const Plan& plan, const TestSheet& sheet) {
  std::string text;
  for (const PlannedBlock& block : plan.blocks) {
    std::string serials;
    for (const int slot : block.slots)
      serials += (serials.empty() ? "" : "  ") +
                 sheet.modules[plan.slots[static_cast<std::size_t>(slot - 1)].module].serial;
    const std::string slots =
        block.slots.size() == 1
            ? fmt::format("slot {}", block.slots.front())
            : fmt::format("slots {} to {}", block.slots.front(), block.slots.back());
    text += fmt::format("  {:>3}  {:<18}{:>9.3f} Ah  {:>8.1f} mΩ   {}\n", block.block, slots,
                        block.capacity_sum_ah, block.resistance_sum_mohm, serials);
  }
  return text;
}

std::string spread_lines(const Plan& plan) {
  const double gap = plan.spread.capacity_ah - plan.bound_ah;
  const std::string capacity =
      gap < 5e-7 ? "the least there is"
                 : fmt::format("no arrangement is under {:.6g} Ah", plan.bound_ah);
  return fmt::format("  capacity    {:.6g} Ah, {}; {:.6g} Ah as listed\n", plan.spread.capacity_ah,
                     capacity, plan.before.capacity_ah) +
         fmt::format("  resistance  {:.6g} mΩ{}; {:.6g} mΩ as listed\n",
                     plan.spread.resistance_mohm,
                     plan.resistance_proved ? ", the least at that spread of capacity" : "",
                     plan.before.resistance_mohm);
}

std::string left_out_lines(const Plan& plan, const TestSheet& sheet) {
  std::string text;
  for (const std::size_t i : plan.spares)
    text += fmt::format("  {:<14} spare, {:.6g} Ah\n", sheet.modules[i].serial,
                        sheet.modules[i].capacity_ah);
  for (const RefusedModule& refused : plan.refused)
    text +=
        fmt::format("  {:<14} refused: {}\n", sheet.modules[refused.module].serial, refused.reason);
  return text.empty() ? "  none\n" : text;
}

std::string leak_line(const TestSheet& sheet) {
  const bool listed = std::any_of(sheet.modules.begin(), sheet.modules.end(),
                                  [](const auto& m) { return m.leak != LeakTest::not_listed; });
  return listed ? ""
                : "\nThe test sheet has no column leak_test: no module is known to be tight.\n";
}

}  // namespace

std::string plan_text(const Pack& pack, const TestSheet& sheet, const Plan& plan,
                      const std::filesystem::path& out) {
  return fmt::format("{}: {} modules in blocks of {}\n{}\n", pack.id, pack.modules,
                     block_size(pack), block_lines(plan, sheet)) +
         "Spread of the full blocks\n" + spread_lines(plan) + "\nModules left out\n" +
         left_out_lines(plan, sheet) + leak_line(sheet) + "\nStacking sheet and plan\n" +
         fmt::format("  {}\n  {}\n  {}\n", (out / "stacking-sheet.pdf").string(),
                     (out / "stacking-sheet.html").string(), (out / "plan.json").string()) +
         kCaution;
}

}  // namespace plumbstack
