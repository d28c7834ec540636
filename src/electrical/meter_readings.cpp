#include <charconv>
#include <cmath>

#include "plumbstack/base/csv.hpp"
#include "plumbstack/electrical_files.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kLongest = 1 << 20;  // bytes; 200 blocks have some 3 KiB
constexpr double kMostV = 1500;            // what UN ECE R100 has rules for

class ReadingsReader {
 public:
  ReadingsReader(const std::vector<CsvRecord>& records, int blocks)
      : records_(records), seen_(static_cast<std::size_t>(blocks)), readings(seen_.size()) {}

  void read() {
    const CsvRecord& header = records_.front();
    block_ = column(header, "block");
    volts_ = column(header, "voltage_v");
    for (std::size_t i = 1; i < records_.size() && fault.empty(); ++i) read_line(records_[i]);
    for (std::size_t b = 0; b < seen_.size() && fault.empty(); ++b)
      if (!seen_[b])
        fault = "block " + std::to_string(b + 1) + " of " + std::to_string(seen_.size()) +
                " has no line; write one for each, without a value where nothing was measured";
  }

  std::string fault;

 private:
  void refuse(const CsvField& field, std::size_t at, const std::string& what) {
    if (fault.empty())
      fault = csv_place(field.line, static_cast<int>(at) + 1) + " (" +
              records_.front().fields[at].text + "): " + what;
  }

  std::size_t column(const CsvRecord& header, const std::string& name) {
    std::size_t found = header.fields.size();
    for (std::size_t i = 0; i < header.fields.size(); ++i) {
      if (header.fields[i].text != name) continue;
      if (found < header.fields.size()) refuse(header.fields[i], i, "is there twice");
      found = i;
    }
    if (found == header.fields.size() && fault.empty())
      fault = "line " + std::to_string(header.line) + ": no column " + name +
              "; the first line must name block and voltage_v, parted by a comma";
    return found;
  }

  void read_line(const CsvRecord& record) {
    const std::size_t have = record.fields.size(), want = records_.front().fields.size();
    if (have != want) {
      fault = csv_place(record.line, static_cast<int>(std::min(have, want)) + 1) + ": " +
              std::to_string(have) + " values, but the first line names " + std::to_string(want) +
              " columns";
      if (have > want) fault += "; is a comma used as decimal point?";
      return;
    }
    const auto block = block_of(record.fields[block_]);
    if (!block) return;
    readings[*block] = reading_of(record.fields[volts_]);
  }

  // 0-based.
  std::optional<std::size_t> block_of(const CsvField& field) {
    int block = 0;
    const char* end = field.text.data() + field.text.size();
    const auto [stop, error] = std::from_chars(field.text.data(), end, block);
    const int blocks = static_cast<int>(seen_.size());
    if (error != std::errc() || stop != end || block < 1 || block > blocks)
      refuse(
          field, block_,
          "'" + field.text + "' is no block; this pack has blocks 1 to " + std::to_string(blocks));
    else if (seen_[static_cast<std::size_t>(block - 1)])
      refuse(field, block_, "block " + field.text + " is there twice");
    if (!fault.empty()) return std::nullopt;
    seen_[static_cast<std::size_t>(block - 1)] = true;
    return static_cast<std::size_t>(block - 1);
  }

  MeterReading reading_of(const CsvField& field) {
    if (field.text.empty()) return {};
    if (field.text == "open") return {std::nullopt, true};
    const std::string shown = "'" + field.text + "' ";
    double value = 0;
    const char* end = field.text.data() + field.text.size();
    const auto [stop, error] =
        std::from_chars(field.text.data() + (field.text.starts_with('+') ? 1 : 0), end, value);
    const bool read = error == std::errc() && stop == end && std::isfinite(value);
    if (!read && field.text.find(',') != std::string::npos)
      refuse(field, volts_, shown + "has a comma; write a decimal point");
    else if (!read)
      refuse(field, volts_,
             shown +
                 "is no number; write volts with a decimal point, open where the meter shows "
                 "no steady reading, or nothing");
    else if (std::abs(value) > kMostV)
      refuse(field, volts_, shown + "V is outside -1500 to 1500 V; check the point and the unit");
    return {value, false};
  }

  const std::vector<CsvRecord>& records_;
  std::vector<bool> seen_;
  std::size_t block_ = 0, volts_ = 0;

 public:
  std::vector<MeterReading> readings;
};

}  // namespace

Result<std::vector<MeterReading>> parse_meter_readings(std::string_view csv,
                                                       const std::string& origin, int blocks) {
  const auto records = parse_csv(csv, origin);
  if (!records) return tl::unexpected(records.error());
  if (records->empty())
    return fail(ErrorCode::sheet_unreadable,
                "is empty; the first line must name block and voltage_v, parted by a comma",
                origin);
  ReadingsReader reader(*records, blocks);
  reader.read();
  if (!reader.fault.empty()) return fail(ErrorCode::readings_invalid, reader.fault, origin);
  return reader.readings;
}

Result<std::vector<MeterReading>> load_meter_readings(const std::filesystem::path& file,
                                                      int blocks) {
  const auto text = read_file(file, kLongest, "meter readings", ErrorCode::sheet_unreadable);
  if (!text) return tl::unexpected(text.error());
  return parse_meter_readings(*text, file.string(), blocks);
}

}  // namespace plumbstack
