#include "plumbstack/base/csv.hpp"

#include <algorithm>
#include <optional>

#include "plumbstack/base/utf8.hpp"

namespace plumbstack {
namespace {

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

class CsvScanner {
 public:
  explicit CsvScanner(std::string_view text) : text_(text) {}

  std::vector<CsvRecord> records() {
    std::vector<CsvRecord> all;
    while (!fault_ && at_ < text_.size()) {
      CsvRecord record = next_record();
      const bool holds = std::any_of(record.fields.begin(), record.fields.end(),
                                     [](const CsvField& field) { return !field.text.empty(); });
      if (holds) all.push_back(std::move(record));
    }
    return all;
  }
  const std::optional<std::string>& fault() const { return fault_; }

 private:
  bool done() const { return at_ >= text_.size(); }
  char now() const { return text_[at_]; }

  void refuse(int line, const std::string& what) {
    if (!fault_) fault_ = csv_place(line, column_) + ": " + what;
  }

  CsvRecord next_record() {
    CsvRecord record{line_, {}};
    for (column_ = 1; !fault_; ++column_) {
      const int line = line_;
      const std::string raw = next_field();
      if (first_not_utf8(raw) != std::string::npos)
        refuse(line, "is not UTF-8; save the sheet as UTF-8");
      if (has_control(raw)) refuse(line, "holds a control character or a line break");
      record.fields.push_back({std::string(trimmed(raw)), line});
      if (done() || end_of_line()) break;
      ++at_;  // the comma
    }
    return record;
  }

  // Takes the end of the line if that is what comes.
  bool end_of_line() {
    if (now() == '\r') {
      if (at_ + 1 >= text_.size() || text_[at_ + 1] != '\n')
        refuse(line_, "a carriage return without a line feed; save the sheet with ordinary lines");
      ++at_;
    }
    if (done() || now() != '\n') return false;
    ++at_;
    ++line_;
    return true;
  }

  std::string next_field() {
    std::size_t start = at_;
    while (start < text_.size() && (text_[start] == ' ' || text_[start] == '\t')) ++start;
    if (start < text_.size() && text_[start] == '"') {
      at_ = start;
      return quoted_field();
    }
    std::string field;
    for (; !done() && now() != ',' && now() != '\n' && now() != '\r'; ++at_) {
      if (now() == '"') refuse(line_, "a quote inside a value; put the whole value in quotes");
      field += now();
    }
    return field;
  }

  std::string quoted_field() {
    const int line = line_;
    std::string field;
    for (++at_;; ++at_) {
      if (done()) {
        refuse(line, "a quote is opened here and never closed");
        return field;
      }
      if (now() == '"') {
        ++at_;
        if (done() || now() != '"') break;
      }
      if (now() == '\n') ++line_;
      field += now();
    }
    while (!done() && (now() == ' ' || now() == '\t')) ++at_;
    if (!done() && now() != ',' && now() != '\n' && now() != '\r')
      refuse(line_, "text after a closing quote; a quote inside a value is written twice");
    return field;
  }

  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
  int column_ = 1;
  std::optional<std::string> fault_;
};

}  // namespace

std::string csv_place(int line, int column) {
  return "line " + std::to_string(line) + ", column " + std::to_string(column);
}

Result<std::vector<CsvRecord>> parse_csv(std::string_view text, const std::string& origin) {
  if (text.starts_with("\xff\xfe") || text.starts_with("\xfe\xff"))
    return fail(ErrorCode::sheet_unreadable, "is UTF-16; save the sheet as UTF-8", origin);
  if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
  CsvScanner scanner(text);
  std::vector<CsvRecord> records = scanner.records();
  if (scanner.fault()) return fail(ErrorCode::sheet_unreadable, *scanner.fault(), origin);
  return records;
}

}  // namespace plumbstack
