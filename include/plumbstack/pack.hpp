// Pack definition: what the technician means to build. Read from JSON (plumbstack/pack/1).
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "plumbstack/base/geometry.hpp"
#include "plumbstack/base/result.hpp"

namespace plumbstack {

enum class MarkColor { red, blue, black, white, green, yellow };

struct NumberRule {
  int first = 1;           // the number in slot k is first + k - 1
  std::optional<End> end;  // near which end every number stands; nullopt = any
  int rotation_deg = 0;    // 0, 90, 180, 270 clockwise against the slot-up frame
};

struct VentRule {
  End slot_1_end = End::left;  // alternates down the stack
};

struct SignRule {
  Sign slot_1 = Sign::plus;          // the sign of slot 1 at `end`; alternates down the stack
  std::optional<End> end;            // nullopt = any: the strip has one sign only
  std::map<Sign, MarkColor> colors;  // empty = only the shape counts
};

struct Side {
  std::string name;
  double strip_mm = 0;  // length of a strip on this side
  std::optional<NumberRule> number;
  std::optional<VentRule> vent;
  std::optional<SignRule> sign;
};

struct ModuleSize {  // mm
  double length = 0;
  double height = 0;
  double thickness = 0;
  double pitch = 0;  // centre to centre; equals thickness where the definition gives none
};

struct ElectricalRule {
  int cells_per_module = 6;
  double nominal_v_per_cell = 1.2;
  double charged_v_per_cell = 1.4;
  int modules_per_block = 1;
};

enum class CoolEnd { first, last, both };

struct PlanRule {
  std::optional<double> capacity_min_ah;
  std::optional<double> resistance_max_mohm;
  std::optional<double> voltage_spread_mv;
  CoolEnd cool_end = CoolEnd::both;
};

struct Pack {
  std::string id;
  std::string name;
  int modules = 0;
  ModuleSize module_mm;
  std::vector<Side> sides;                  // in the order of the definition
  std::optional<double> stagger_limit_mm;   // nullopt = not checked
  std::optional<double> seat_gap_limit_mm;  // nullopt = not checked
  bool slot_1_up = false;
  std::vector<std::string> required_sides;  // default: all of sides
  std::optional<ElectricalRule> electrical;
  std::optional<PlanRule> plan;
  std::optional<double> bus_nut_torque_nm;

  const Side* side(const std::string& side_name) const;  // nullptr where the pack has none
};

/// What a slot must show on a side; nullopt where the side does not list the mark.
/// @param slot 1-based
std::optional<int> planned_number(const Side& side, int slot);
std::optional<End> planned_vent(const Side& side, int slot);
std::optional<Sign> planned_sign(const Side& side, int slot);  // at the end that the side names

/// Parses and validates a definition. Every error names the key path and what is allowed there.
/// @param origin name used in errors (a file name)
Result<Pack> parse_pack(const std::string& json_text, const std::string& origin);
Result<Pack> load_pack(const std::filesystem::path& file);

}  // namespace plumbstack
