// manifest.csv: stack, side, file, and where they are wanted pack and slot_1.
#include <iterator>

#include "manifest_rows.hpp"
#include "plumbstack/base/csv.hpp"

namespace plumbstack {
namespace {

constexpr const char* kColumns[] = {"stack", "side", "file", "pack", "slot_1"};
enum Column { kStack, kSide, kFile, kPack, kSlot1 };

tl::unexpected<Error> wrong(const std::string& file, int line, const std::string& what) {
  return fail(ErrorCode::sheet_invalid, "line " + std::to_string(line) + ": " + what, file);
}

// In which field of a record each column stands.
Result<std::vector<std::size_t>> columns_of(const CsvRecord& titles, const std::string& file) {
  std::vector<std::size_t> at(std::size(kColumns), std::string::npos);
  for (std::size_t i = 0; i < titles.fields.size(); ++i)
    for (std::size_t c = 0; c < std::size(kColumns); ++c)
      if (titles.fields[i].text == kColumns[c]) {
        if (at[c] != std::string::npos)
          return wrong(file, titles.line, std::string("two columns ") + kColumns[c]);
        at[c] = i;
      }
  for (const Column c : {kStack, kSide, kFile})
    if (at[c] == std::string::npos)
      return wrong(file, titles.line,
                   std::string("no column ") + kColumns[c] +
                       "; the first line names stack, side, file, and pack and "
                       "slot_1 where they are wanted");
  return at;
}

}  // namespace

Result<std::vector<ManifestRow>> rows_of_csv(const std::string& text, const std::string& origin) {
  const auto records = parse_csv(text, origin);
  if (!records) return tl::unexpected(records.error());
  if (records->empty()) return wrong(origin, 1, "is empty");
  const auto at = columns_of(records->front(), origin);
  if (!at) return tl::unexpected(at.error());
  std::vector<ManifestRow> rows;
  for (std::size_t r = 1; r < records->size(); ++r) {
    const CsvRecord& record = (*records)[r];
    const auto field = [&](Column c) {
      return (*at)[c] < record.fields.size() ? record.fields[(*at)[c]].text : std::string();
    };
    rows.push_back({field(kStack), field(kSide), field(kFile), field(kPack), field(kSlot1),
                    "line " + std::to_string(record.line)});
  }
  return rows;
}

}  // namespace plumbstack
