// Comma-separated values as RFC 4180 has them, strictly, with the place of every field: a slip in a
// test sheet must be found again in the spreadsheet it came from. (Debian's libcsv goes on after
// odd quotes and does not tell where a field stood.)
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

struct CsvField {
  std::string text;  // UTF-8, spaces at both ends taken off
  int line = 1;      // of the file, 1-based; where the field begins
};

struct CsvRecord {
  int line = 1;  // of the file, 1-based; where the record begins
  std::vector<CsvField> fields;
};

/// "line 5, column 3"; the column is the field's number in its record, from 1.
std::string csv_place(int line, int column);

/// All records that hold anything: lines that are empty or hold only commas are left out. A byte
/// order mark of UTF-8 is skipped; lines end in LF or CRLF.
/// Error: sheet_unreadable, with the place of what is not RFC 4180, not UTF-8 or a control
/// character.
Result<std::vector<CsvRecord>> parse_csv(std::string_view text, const std::string& origin);

}  // namespace plumbstack
