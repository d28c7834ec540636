// Which module is where, from the plans, the serials read off the modules, and the lifts.
#include <map>
#include <set>

#include "state_parts.hpp"

namespace plumbstack {
namespace {

using Slots = std::map<int, JobModule>;

// What the plan says takes the place of all that was known; what stood there is kept as replaced.
Slots planned(const PlanAttached& plan) {
  Slots slots;
  for (const PlannedSlot& one : plan.modules)
    slots[one.slot] = {one.slot, one.number, one.serial, JobModule::planned};
  return slots;
}

void compare(const Opened& opened, const SerialsCompared& read, bool has_plan, Slots& slots,
             std::set<std::string>& seen) {
  for (const SlotSerial& one : read.modules) {
    JobModule& module = slots[one.slot];
    const bool as_planned = !has_plan || module.serial == one.serial;
    if (module.number == 0) module.number = opened.first_number + one.slot - 1;
    if (!module.serial.empty()) seen.insert(module.serial);
    module.slot = one.slot;
    module.serial = one.serial;
    module.place = as_planned ? JobModule::compared : JobModule::differs;
  }
}

void set_planned(const std::vector<int>& lifted, Slots& slots) {
  for (const int slot : lifted)
    if (const auto at = slots.find(slot); at != slots.end()) at->second.place = JobModule::planned;
}

}  // namespace

std::vector<JobModule> modules_now(const std::vector<JobEntry>& entries) {
  const Opened& opened = std::get<Opened>(entries.front().fact);
  Slots slots, as_planned;
  std::set<std::string> seen;
  for (const JobEntry& entry : entries) {
    if (const auto* plan = std::get_if<PlanAttached>(&entry.fact)) {
      for (const auto& [slot, module] : slots) seen.insert(module.serial);
      slots = as_planned = planned(*plan);
    }
    if (const auto* read = std::get_if<SerialsCompared>(&entry.fact)) {
      // A slot read again is compared with the plan, not with what was read before.
      for (const SlotSerial& one : read->modules)
        if (const auto at = as_planned.find(one.slot); at != as_planned.end()) {
          seen.insert(slots[one.slot].serial);
          slots[one.slot] = at->second;
        }
      compare(opened, *read, !as_planned.empty(), slots, seen);
    }
    if (const auto* lifted = std::get_if<ModulesLifted>(&entry.fact))
      set_planned(lifted->slots, slots);
  }
  std::vector<JobModule> modules;
  for (const auto& [slot, module] : slots) modules.push_back(module);
  for (const JobModule& module : modules) seen.erase(module.serial);
  for (const std::string& serial : seen) modules.push_back({0, 0, serial, JobModule::replaced});
  return modules;
}

const char* name_of(JobModule::Place place) {
  switch (place) {
    case JobModule::planned: return "planned";
    case JobModule::compared: return "compared";
    case JobModule::differs: return "differs";
    case JobModule::replaced: return "replaced";
  }
  return "";
}

JobModule::Place module_place(const std::string& name) {
  for (const auto place : {JobModule::compared, JobModule::differs, JobModule::replaced})
    if (name == name_of(place)) return place;
  return JobModule::planned;
}

}  // namespace plumbstack
