#include "sheet_columns.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace plumbstack {
namespace {

struct Meaning {
  Quantity quantity;
  const char* name;                // as told in messages
  std::vector<const char*> names;  // as titles have them, in plain words
  std::vector<Unit> units;         // empty = has none
  const char* write;               // what to write in the title
};

const std::vector<Meaning>& meanings() {
  static const std::vector<Meaning> all{
      {Quantity::serial,
       "serial",
       {"serial", "serial number", "serial no", "serial nr"},
       {},
       "serial"},
      {Quantity::capacity,
       "capacity",
       {"capacity"},
       {{"ah", "Ah", 1}, {"mah", "mAh", 1e-3}},
       "capacity_ah or capacity_mah"},
      {Quantity::voltage,
       "voltage",
       {"voltage", "open circuit voltage", "ocv"},
       {{"v", "V", 1}, {"mv", "mV", 1e-3}},
       "voltage_v or voltage_mv"},
      {Quantity::resistance,
       "resistance",
       {"resistance", "internal resistance", "ir"},
       {{"mohm", "mΩ", 1}, {"milliohm", "mΩ", 1}, {"ohm", "Ω", 1e3}},
       "resistance_mohm or resistance_ohm"},
      {Quantity::leak, "leak test", {"leak test", "leak"}, {}, "leak_test"}};
  return all;
}

void replace_all(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
    text.replace(at, from.size(), to);
}

// "Internal resistance (mΩ)" -> "internal resistance mohm": lower case, one space between words.
std::string plain_words(std::string title) {
  for (const char* omega : {"Ω", "\u2126"}) replace_all(title, omega, "ohm");
  std::string words;
  for (const char c : title) {
    const auto letter = static_cast<unsigned char>(c);
    if (std::isalnum(letter) || letter >= 0x80 || c == '%')
      words += static_cast<char>(letter < 0x80 ? std::tolower(letter) : letter);
    else if (!words.empty() && words.back() != ' ')
      words += ' ';
  }
  while (!words.empty() && words.back() == ' ') words.pop_back();
  return words;
}

struct Title {
  const Meaning* meaning;
  std::optional<Unit> unit;
};

bool is_name(const Meaning& meaning, const std::string& words) {
  return std::any_of(meaning.names.begin(), meaning.names.end(),
                     [&](const char* name) { return words == name; });
}

// nullopt = another column, to be kept.
std::optional<Title> title_of(const std::string& words) {
  for (const Meaning& meaning : meanings()) {
    if (is_name(meaning, words)) return Title{&meaning, std::nullopt};
    for (const Unit& unit : meaning.units)
      for (const std::string between : {" ", " in "})
        if (const std::string end = between + unit.word;
            words.ends_with(end) && is_name(meaning, words.substr(0, words.size() - end.size())))
          return Title{&meaning, unit};
  }
  return std::nullopt;
}

std::string asked_unit(const SheetUnits& units, Quantity quantity) {
  switch (quantity) {
    case Quantity::capacity: return units.capacity;
    case Quantity::voltage: return units.voltage;
    case Quantity::resistance: return units.resistance;
    case Quantity::serial:
    case Quantity::leak: return "";
  }
  return "";
}

class HeaderReader {
 public:
  HeaderReader(const CsvRecord& header, const SheetUnits& units) : header_(header), units_(units) {}

  void read() {
    for (std::size_t i = 0; i < header_.fields.size() && !fault; ++i) read_title(i);
    for (const Meaning& meaning : meanings())
      if (!found_.contains(meaning.quantity) && meaning.quantity != Quantity::leak && !fault)
        refuse_missing(meaning);
    if (fault) return;
    columns.serial = found_[Quantity::serial];
    columns.capacity = found_[Quantity::capacity];
    columns.voltage = found_[Quantity::voltage];
    columns.resistance = found_[Quantity::resistance];
    if (found_.contains(Quantity::leak)) columns.leak = found_[Quantity::leak];
  }

  SheetColumns columns;
  std::optional<std::string> fault;

 private:
  void refuse(std::size_t i, const std::string& what) {
    const CsvField& field = header_.fields[i];
    fault = csv_place(field.line, static_cast<int>(i) + 1) + ": " + what;
  }

  void read_title(std::size_t i) {
    const std::string& text = header_.fields[i].text;
    columns.titles.push_back(text);
    const std::string words = plain_words(text);
    if (words.empty()) return refuse(i, "this column has no name");
    if (!seen_.insert(words).second) return refuse(i, "'" + text + "' is there twice");
    const std::optional<Title> title = title_of(words);
    if (!title) {
      columns.others.push_back(i);
      return;
    }
    MeasuredColumn column{i, text, {"", "", 1}};
    if (!title->meaning->units.empty() && !take_unit(i, *title, column.unit)) return;
    if (!found_.emplace(title->meaning->quantity, column).second)
      refuse(i, "'" + text + "' is a second column for the " + title->meaning->name);
  }

  bool take_unit(std::size_t i, const Title& title, Unit& unit) {
    const Meaning& meaning = *title.meaning;
    const std::string asked = asked_unit(units_, meaning.quantity);
    if (title.unit) unit = *title.unit;
    for (const Unit& one : meaning.units) {
      if (asked != one.word) continue;
      if (title.unit && title.unit->scale != one.scale) {
        refuse(i, "the title says " + std::string(title.unit->shown) + " and the option " +
                      one.shown + "; leave one of them out");
        return false;
      }
      unit = one;
    }
    if (!title.unit && asked.empty())
      refuse(i, "'" + header_.fields[i].text + "' names no unit; write " + meaning.write +
                    ", or give --" + meaning.name + "-unit");
    return !fault;
  }

  void refuse_missing(const Meaning& meaning) {
    std::string hint;
    for (std::size_t i = 0; i < header_.fields.size(); ++i)
      if (plain_words(header_.fields[i].text).starts_with(meaning.names.front()))
        hint = "; '" + header_.fields[i].text + "' in column " + std::to_string(i + 1) +
               " has another name or unit";
    if (header_.fields.size() == 1)
      for (const char mark : {';', '\t'})
        if (header_.fields[0].text.find(mark) != std::string::npos)
          hint = std::string("; columns are parted by commas, not ") +
                 (mark == ';' ? "semicolons" : "tabs");
    fault = "line " + std::to_string(header_.line) + ": no column for the " + meaning.name +
            "; write " + meaning.write + hint;
  }

  const CsvRecord& header_;
  const SheetUnits& units_;
  std::set<std::string> seen_;
  std::map<Quantity, MeasuredColumn> found_;
};

}  // namespace

Result<SheetColumns> sheet_columns(const CsvRecord& header, const SheetUnits& units,
                                   const std::string& origin) {
  HeaderReader reader(header, units);
  reader.read();
  if (reader.fault) return fail(ErrorCode::sheet_invalid, *reader.fault, origin);
  return std::move(reader.columns);
}

}  // namespace plumbstack
