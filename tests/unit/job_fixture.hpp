// A job of a pack of four modules, entry by entry.
#pragma once

#include "plumbstack/job_state.hpp"
#include "plumbstack/photo.hpp"

namespace plumbstack::test {

inline KeptFile file_of(const std::string& name) {
  return {name, sha256_hex({reinterpret_cast<const std::uint8_t*>(name.data()), name.size()})};
}

inline Pack job_pack() {
  Pack pack;
  pack.id = "short-4";
  pack.name = "4 modules on the bench";
  pack.modules = 4;
  pack.module_mm = {200, 100, 20, 20};
  pack.sides = {{"number", 200, NumberRule{1, End::right, 180}, std::nullopt, std::nullopt},
                {"vent", 200, std::nullopt, VentRule{End::left}, std::nullopt}};
  pack.required_sides = {"number", "vent"};
  pack.electrical = ElectricalRule{6, 1.2, 1.4, 2};
  pack.plan = PlanRule{5.0, 25.0, 50.0, CoolEnd::both};
  pack.bus_nut_torque_nm = 6.2;
  return pack;
}

inline Opened opened_fact() {
  const Pack pack = job_pack();
  Opened opened;
  opened.pack = file_of("short-4.json");
  opened.pack_id = pack.id;
  opened.modules = pack.modules;
  opened.customer = "blue one, Tuesday";
  opened.local_time = "2026:03:02 08:00:00";
  opened.required_sides = pack.required_sides;
  opened.check_list = default_check_list(pack);
  return opened;
}

inline PlanAttached plan_fact(const std::string& stem = "FL-") {
  PlanAttached plan{file_of("plan.json"), {}};
  for (int slot = 1; slot <= 4; ++slot)
    plan.modules.push_back({slot, slot, stem + std::to_string(600 + slot)});
  return plan;
}

inline SerialsCompared serials_fact(const std::string& stem = "FL-") {
  SerialsCompared read;
  for (int slot = 1; slot <= 4; ++slot)
    read.modules.push_back({slot, stem + std::to_string(600 + slot)});
  return read;
}

inline ResultAttached result_fact(const std::string& verdict,
                                  std::vector<ResultFinding> findings = {}, int rechecks = 0) {
  ResultAttached result;
  result.file = file_of("result.json");
  result.verdict = verdict;
  for (const char* side : {"number", "vent"})
    result.photos.push_back(
        {side, file_of(std::string(side) + ".jpg"), verdict, "2026:03:02 09:30:00"});
  result.findings = std::move(findings);
  result.rechecks = rechecks;
  return result;
}

inline ResultFinding unsure(const std::string& mark, std::vector<int> slots) {
  const std::string side = mark == "number" ? "number" : "vent";
  return {mark + ".unsure", "retake", side, std::move(slots), "not read with trust"};
}

inline ReadingConfirmed confirmation(int result, int slot, const std::string& reads) {
  return {result, "number", slot, "number", reads, std::to_string(slot), file_of("crop.jpg")};
}

/// Entries in a row, by a technician unless another name is given.
struct Row {
  std::vector<JobEntry> entries;
  Row() { add(opened_fact()); }
  Row& add(Fact fact, const std::string& by = "M. Fennel") {
    const int place = static_cast<int>(entries.size()) + 1;
    entries.push_back({"FL-0142", place, "2026-03-02T07:00:00Z", by, std::move(fact)});
    return *this;
  }
  Row& tick(const std::string& line, std::vector<double> figures = {}, const std::string& note = "",
            bool good = true) {
    return add(LineTicked{line, good, std::move(figures), note});
  }
  Row& before_stacking() {
    add(plan_fact()).add(serials_fact());
    tick("service-plug").tick("gloves-and-tools");
    return tick("module-voltages", {7.85, 7.86, 7.87, 7.88}).tick("condition", {}, "nothing seen");
  }
  Row& stacked() { return tick("compressed-length", {81.5}).tick("end-plate-torque", {5.4}); }
  Row& bussed() {
    for (const char* line : {"bus-bars", "sense-leads", "sensors", "vent-hose"}) tick(line);
    tick("bus-nuts", {6.2}).add(PhotoAttached{file_of("bussed.jpg"), "bussed-photo", ""});
    return tick("block-voltages", {15.7, 15.8}).tick("insulation", {5});
  }
  int last() const { return static_cast<int>(entries.size()); }
  JobState state() const { return job_state(entries); }
  LineState line(const std::string& id) const {
    for (const LineState& one : state().lines)
      if (one.line.id == id) return one;
    return {};
  }
};

}  // namespace plumbstack::test
