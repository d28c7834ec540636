#include "plumbstack/test_sheet.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <map>

#include "sheet_columns.hpp"

namespace plumbstack {
namespace {

// What one module can have at all, in the unit of the program; beyond it a unit or a point is
// wrong.
struct Range {
  double low, high;
  const char* text;
};
constexpr Range kCapacity{0, 1000, "0 to 1000 Ah"};
constexpr Range kVoltage{0, 100, "0 to 100 V"};
constexpr Range kResistance{0.01, 10000, "0.01 to 10000 mΩ"};
constexpr std::size_t kMostModules = 1000;  // a sheet is of one shop's modules
constexpr std::size_t kLongestSerial = 60;  // bytes: what a label of the stacking sheet can show

// A sheet whose middle module would be as good as empty has its figures in another unit.
constexpr double kLeastMiddleAh = 0.1, kLeastMiddleV = 0.5;

class RowReader {
 public:
  RowReader(const SheetColumns& columns, const std::string& origin)
      : columns_(columns), origin_(origin) {}

  Result<TestedModule> read(const CsvRecord& record) {
    fault_.clear();
    record_ = &record;
    TestedModule module;
    module.line = record.line;
    if (record.fields.size() != columns_.titles.size())
      refuse_count();
    else
      read_fields(module);
    if (!fault_.empty()) return fail(ErrorCode::sheet_invalid, fault_, origin_);
    return module;
  }

 private:
  void read_fields(TestedModule& module) {
    module.serial = serial();
    module.capacity_ah = number(columns_.capacity, kCapacity);
    module.voltage_v = number(columns_.voltage, kVoltage);
    module.resistance_mohm = number(columns_.resistance, kResistance);
    if (columns_.leak) module.leak = leak();
    for (const std::size_t i : columns_.others) module.others.push_back(record_->fields[i].text);
  }

  void refuse(const MeasuredColumn& column, const std::string& what) {
    const int line = record_->fields[column.at].line, number = static_cast<int>(column.at) + 1;
    if (fault_.empty()) fault_ = csv_place(line, number) + " (" + column.title + "): " + what;
  }

  void refuse_count() {
    const std::size_t have = record_->fields.size(), want = columns_.titles.size();
    fault_ = csv_place(record_->line, static_cast<int>(std::min(have, want)) + 1) + ": " +
             std::to_string(have) + " values, but the first line names " + std::to_string(want) +
             " columns";
    if (have > want) fault_ += "; is a comma used as decimal point?";
  }

  std::string serial() {
    const std::string& text = record_->fields[columns_.serial.at].text;
    if (text.empty()) refuse(columns_.serial, "is empty; every module needs a serial");
    if (text.size() > kLongestSerial)
      refuse(columns_.serial, "is longer than " + std::to_string(kLongestSerial) + " bytes");
    const auto [first, fresh] = lines_.emplace(text, record_->line);
    if (!fresh)
      refuse(columns_.serial,
             "'" + text + "' is there twice, first in line " + std::to_string(first->second));
    return text;
  }

  double number(const MeasuredColumn& column, const Range& range) {
    const std::string& text = record_->fields[column.at].text;
    const std::string shown = "'" + text + "' ";
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] =
        std::from_chars(text.data() + (text.starts_with('+') ? 1 : 0), end, value);
    const bool read = error == std::errc() && stop == end && std::isfinite(value);
    if (text.empty())
      refuse(column, "is empty; write what was measured");
    else if (!read && text.find(',') != std::string::npos)
      refuse(column, shown + "has a comma; write a decimal point");
    else if (!read)
      refuse(column, shown +
                         "is no number; write digits and a decimal point, the unit belongs in "
                         "the first line");
    else if (value < 0)
      refuse(column, shown + "is negative; check the leads and the sheet");
    value *= column.unit.scale;
    if (value < range.low || value > range.high)
      refuse(column, shown + std::string(column.unit.shown) + " is outside " + range.text +
                         "; check the point and the unit");
    return value;
  }

  LeakTest leak() {
    std::string word = record_->fields[columns_.leak->at].text;
    for (char& c : word) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    static const std::map<std::string, LeakTest> words{
        {"pass", LeakTest::passed},  {"passed", LeakTest::passed}, {"ok", LeakTest::passed},
        {"tight", LeakTest::passed}, {"fail", LeakTest::failed},   {"failed", LeakTest::failed},
        {"leak", LeakTest::failed},  {"leaks", LeakTest::failed},  {"", LeakTest::not_done}};
    if (const auto at = words.find(word); at != words.end()) return at->second;
    refuse(*columns_.leak, "'" + record_->fields[columns_.leak->at].text +
                               "' is not known; write pass or fail, or nothing if not tested");
    return LeakTest::not_done;
  }

  const SheetColumns& columns_;
  const std::string& origin_;
  const CsvRecord* record_ = nullptr;
  std::map<std::string, int> lines_;  // of the serials read so far
  std::string fault_;
};

template <typename Figure>
double middle_of(const TestSheet& sheet, Figure figure) {
  std::vector<double> values;
  for (const TestedModule& module : sheet.modules) values.push_back(figure(module));
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

std::optional<std::string> unit_slip(const TestSheet& sheet, const SheetColumns& columns) {
  const auto slip = [](const MeasuredColumn& column) {
    return "column " + std::to_string(column.at + 1) + " (" + column.title + "): taken in " +
           column.unit.shown + ", most modules would be empty; check the unit";
  };
  if (middle_of(sheet, [](const TestedModule& m) { return m.capacity_ah; }) < kLeastMiddleAh)
    return slip(columns.capacity);
  if (middle_of(sheet, [](const TestedModule& m) { return m.voltage_v; }) < kLeastMiddleV)
    return slip(columns.voltage);
  return std::nullopt;
}

}  // namespace

Result<TestSheet> parse_test_sheet(std::string_view csv, const std::string& origin,
                                   const SheetUnits& units) {
  const auto records = parse_csv(csv, origin);
  if (!records) return tl::unexpected(records.error());
  if (records->empty())
    return fail(ErrorCode::sheet_unreadable, "is empty; the first line must name the columns",
                origin);
  const auto columns = sheet_columns(records->front(), units, origin);
  if (!columns) return tl::unexpected(columns.error());
  if (records->size() == 1)
    return fail(ErrorCode::sheet_invalid, "line 2: no module is listed", origin);
  if (records->size() > kMostModules + 1)
    return fail(ErrorCode::sheet_invalid,
                "line " + std::to_string((*records)[kMostModules + 1].line) + ": more than " +
                    std::to_string(kMostModules) + " modules; split the sheet",
                origin);
  TestSheet sheet;
  for (const std::size_t i : columns->others) sheet.other_columns.push_back(columns->titles[i]);
  RowReader rows(*columns, origin);
  for (std::size_t i = 1; i < records->size(); ++i) {
    auto module = rows.read((*records)[i]);
    if (!module) return tl::unexpected(module.error());
    sheet.modules.push_back(std::move(*module));
  }
  if (const auto slip = unit_slip(sheet, *columns))
    return fail(ErrorCode::sheet_invalid, *slip, origin);
  return sheet;
}

Result<TestSheet> load_test_sheet(const std::filesystem::path& file, const SheetUnits& units) {
  constexpr std::size_t kLongest = 1 << 20;  // a thousand modules have some 100 KiB
  std::error_code error;
  std::ifstream in(file, std::ios::binary);
  if (!in || std::filesystem::is_directory(file, error))
    return fail(ErrorCode::sheet_unreadable, "can't be read; check the name of the test sheet",
                file.string());
  std::string text(kLongest + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (text.size() > kLongest)
    return fail(ErrorCode::sheet_unreadable, "is over 1 MiB and no test sheet", file.string());
  return parse_test_sheet(text, file.string(), units);
}

}  // namespace plumbstack
