#include "plumbstack/plan.hpp"

#include <algorithm>

#include "plan_parts.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kReasonsTold = 8;  // in an error, which is one line

using Group = std::vector<std::size_t>;  // places in TestSheet::modules

Load load_of(const TestedModule& module) {
  return {millionths(module.capacity_ah), millionths(module.resistance_mohm)};
}

BlockSpread shown(const Spread& spread) {
  return {static_cast<double>(spread.capacity) * 1e-6,
          static_cast<double>(spread.resistance) * 1e-6};
}

tl::unexpected<Error> too_few(const Pack& pack, const TestSheet& sheet, const Sifted& sifted) {
  std::string text = pack.id + " needs " + std::to_string(pack.modules) + " modules, and " +
                     std::to_string(sifted.good.size()) + " of the " +
                     std::to_string(sheet.modules.size()) + " listed are within its limits";
  for (std::size_t i = 0; i < std::min(kReasonsTold, sifted.refused.size()); ++i)
    text += (i == 0 ? "; refused: " : ", ") + sheet.modules[sifted.refused[i].module].serial +
            " (" + sifted.refused[i].reason + ")";
  if (sifted.refused.size() > kReasonsTold)
    text += " and " + std::to_string(sifted.refused.size() - kReasonsTold) + " more";
  return fail(ErrorCode::modules_short, text);
}

// Full blocks in the order of the sheet: what there would be if nobody arranged anything.
std::vector<std::vector<int>> as_listed(int blocks, int per_block) {
  std::vector<std::vector<int>> members(static_cast<std::size_t>(blocks));
  for (int i = 0; i < blocks * per_block; ++i)
    members[static_cast<std::size_t>(i / per_block)].push_back(i);
  return members;
}

std::vector<double> capacities_of(const std::vector<std::vector<int>>& members,
                                  const std::vector<Load>& loads) {
  std::vector<double> sums;
  for (const auto& block : members) {
    std::int64_t sum = 0;
    for (const int i : block) sum += loads[static_cast<std::size_t>(i)].capacity;
    sums.push_back(static_cast<double>(sum) * 1e-6);
  }
  return sums;
}

// What is in no full block, strongest first.
Group left_over(const Sifted& sifted, const std::vector<Group>& blocks, const TestSheet& sheet) {
  Group left;
  for (const std::size_t i : sifted.good) {
    const bool used = std::any_of(blocks.begin(), blocks.end(), [&](const Group& block) {
      return std::find(block.begin(), block.end(), i) != block.end();
    });
    if (!used) left.push_back(i);
  }
  std::stable_sort(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
    const Load one = load_of(sheet.modules[a]), two = load_of(sheet.modules[b]);
    return one.capacity != two.capacity ? one.capacity > two.capacity
                                        : one.resistance < two.resistance;
  });
  return left;
}

PlannedBlock planned_block(const Group& group, const TestSheet& sheet, int first_slot) {
  PlannedBlock block;
  block.capacity_min_ah = sheet.modules[group.front()].capacity_ah;
  for (const std::size_t i : group) {
    const TestedModule& module = sheet.modules[i];
    block.slots.push_back(first_slot + static_cast<int>(block.slots.size()));
    block.capacity_sum_ah += module.capacity_ah;
    block.capacity_min_ah = std::min(block.capacity_min_ah, module.capacity_ah);
    block.resistance_sum_mohm += module.resistance_mohm;
  }
  return block;
}

// The number of slot 1 is that of the first side that shows numbers.
int first_number(const Pack& pack) {
  for (const Side& side : pack.sides)
    if (side.number) return side.number->first;
  return 1;
}

void fill_slots(const Pack& pack, const TestSheet& sheet, const std::vector<Group>& blocks,
                Plan& plan) {
  for (const Group& group : blocks) {
    const int first_slot = static_cast<int>(plan.slots.size()) + 1;
    PlannedBlock block = planned_block(group, sheet, first_slot);
    block.block = static_cast<int>(plan.blocks.size()) + 1;
    block.full = static_cast<int>(group.size()) == block_size(pack);
    for (std::size_t i = 0; i < group.size(); ++i)
      plan.slots.push_back({block.slots[i], first_number(pack) + block.slots[i] - 1, group[i]});
    plan.blocks.push_back(std::move(block));
  }
}

// Full blocks with the least spread, as groups of the sheet's modules; figures go to the plan.
std::vector<Group> full_blocks(const Pack& pack, const TestSheet& sheet, const Sifted& sifted,
                               Plan& plan) {
  BlockTask task{{}, pack.modules / block_size(pack), block_size(pack)};
  for (const std::size_t i : sifted.good) task.modules.push_back(load_of(sheet.modules[i]));
  if (task.blocks == 0) return {};
  const Blocks blocks = arrange_blocks(task);
  plan.spread = shown(blocks.spread);
  const auto listed = as_listed(task.blocks, task.per_block);
  plan.before = shown(spread_of(task.modules, listed));
  plan.before_ah = capacities_of(listed, task.modules);
  plan.bound_ah = static_cast<double>(blocks.capacity_bound) * 1e-6;
  plan.resistance_proved = blocks.resistance_proved;
  std::vector<Group> groups;
  for (const auto& block : blocks.members) {
    Group group;
    for (const int i : block) group.push_back(sifted.good[static_cast<std::size_t>(i)]);
    groups.push_back(std::move(group));
  }
  return groups;
}

}  // namespace

int block_size(const Pack& pack) {
  return pack.electrical.value_or(ElectricalRule{}).modules_per_block;
}

Result<Plan> make_plan(const Pack& pack, const TestSheet& sheet) {
  const PlanRule rule = pack.plan.value_or(PlanRule{});
  const Sifted sifted = sift(sheet.modules, rule);
  if (sifted.good.size() < static_cast<std::size_t>(pack.modules))
    return too_few(pack, sheet, sifted);
  Plan plan;
  plan.refused = sifted.refused;
  std::vector<Group> blocks = full_blocks(pack, sheet, sifted, plan);
  plan.spares = left_over(sifted, blocks, sheet);
  blocks = laid_out(blocks, sheet.modules, rule.cool_end);
  if (const auto rest = static_cast<std::ptrdiff_t>(pack.modules % block_size(pack)); rest > 0) {
    const auto first_spare = plan.spares.begin() + rest;
    const auto last = laid_out({Group(plan.spares.begin(), first_spare)}, sheet.modules,
                               rule.cool_end == CoolEnd::first ? CoolEnd::first : CoolEnd::last);
    blocks.push_back(last.front());
    plan.spares.erase(plan.spares.begin(), first_spare);
  }
  fill_slots(pack, sheet, blocks, plan);
  return plan;
}

}  // namespace plumbstack
