// The first line of a test sheet -> which column holds what, in which unit.
#pragma once

#include <array>
#include <optional>

#include "plumbstack/base/csv.hpp"
#include "plumbstack/test_sheet.hpp"

namespace plumbstack {

enum class Quantity { serial, capacity, voltage, resistance, leak };

/// A unit and what one of it is in the unit that the program works in.
struct Unit {
  const char* word;   // lower case, as in titles: "mah"
  const char* shown;  // as people write it: "mAh"
  double scale;       // Ah, V or mohm in one of it
};

struct MeasuredColumn {
  std::size_t at = 0;  // field of the record, 0-based
  std::string title;   // as written
  Unit unit{"", "", 1};
};

struct SheetColumns {
  MeasuredColumn serial, capacity, voltage, resistance;
  std::optional<MeasuredColumn> leak;
  std::vector<std::size_t> others;  // fields of the columns that are kept, 0-based
  std::vector<std::string> titles;  // of all columns, as written
};

/// Error: sheet_invalid, with the place.
Result<SheetColumns> sheet_columns(const CsvRecord& header, const SheetUnits& units,
                                   const std::string& origin);

}  // namespace plumbstack
