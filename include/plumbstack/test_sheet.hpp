// Test sheet: what the tester measured of each module. Read from CSV (RFC 4180), strictly: a figure
// that is read wrong puts a module in the wrong place.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

enum class LeakTest { not_listed, passed, failed, not_done };  // not_listed = no such column

struct TestedModule {
  std::string serial;  // UTF-8, 1 to 60 bytes, no two alike in a sheet
  double capacity_ah = 0;
  double voltage_v = 0;        // open circuit
  double resistance_mohm = 0;  // internal
  LeakTest leak = LeakTest::not_listed;
  std::vector<std::string> others;  // as written, in the order of TestSheet::other_columns
  int line = 0;                     // of the file, 1-based
};

struct TestSheet {
  std::vector<TestedModule> modules;       // in the order of the sheet; at least one
  std::vector<std::string> other_columns;  // titles of the columns that are kept but not used
};

/// Units of columns whose titles name none; empty = the title must name it.
struct SheetUnits {
  std::string capacity;    // "ah" or "mah"
  std::string voltage;     // "v" or "mv"
  std::string resistance;  // "mohm" or "ohm"
};

/// The first line names the columns, in any order: serial; capacity_ah or capacity_mah; voltage_v
/// or voltage_mv; resistance_mohm or resistance_ohm; leak_test where there is one. "Capacity
/// (mAh)", "Open-circuit voltage [V]", "Internal resistance, mΩ" mean the same. Other columns are
/// kept. Errors: sheet_unreadable (not a table), sheet_invalid; both with line and column.
/// @param origin name used in errors (a file name)
Result<TestSheet> parse_test_sheet(std::string_view csv, const std::string& origin,
                                   const SheetUnits& units = {});
Result<TestSheet> load_test_sheet(const std::filesystem::path& file, const SheetUnits& units = {});

}  // namespace plumbstack
