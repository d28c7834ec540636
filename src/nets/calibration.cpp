#include "plumbstack/calibration.hpp"

#include <fstream>
#include <nlohmann/json.hpp>

namespace plumbstack {
namespace {

Calibration table_from(const nlohmann::json& rows) {
  Calibration table;
  for (const nlohmann::json& row : rows)
    table.rows.emplace_back(row.at("score").get<double>(), row.at("probability").get<double>());
  return table;
}

Result<nlohmann::json> read_json(const std::filesystem::path& file) {
  std::ifstream in(file);
  nlohmann::json json = nlohmann::json::parse(in, nullptr, false);
  if (!in || json.is_discarded())
    return fail(ErrorCode::model_missing,
                "calibration is missing or damaged; install the models again", file.string());
  return json;
}

// A folder without it is whole: the second reader is then not asked.
Result<SecondOpinionTables> second_tables(const std::filesystem::path& folder) {
  SecondOpinionTables tables;
  const std::filesystem::path file = folder / "second.calibration.json";
  std::error_code ignored;
  if (!std::filesystem::exists(file, ignored)) return tables;
  const auto json = read_json(file);
  if (!json) return tl::unexpected<Error>(json.error());
  tables.agrees = table_from(json->at("agrees"));
  tables.silent = table_from(json->at("silent"));
  tables.disagrees = table_from(json->at("disagrees"));
  return tables;
}

}  // namespace

double Calibration::look_up(double score) const {
  if (rows.empty()) return 0;
  if (score <= rows.front().first) return rows.front().second;
  for (std::size_t i = 1; i < rows.size(); ++i)
    if (score <= rows[i].first) {
      const auto& [s0, p0] = rows[i - 1];
      const auto& [s1, p1] = rows[i];
      return s1 > s0 ? p0 + (p1 - p0) * (score - s0) / (s1 - s0) : p1;
    }
  return rows.back().second;
}

Result<Calibrations> load_calibrations(const std::filesystem::path& folder) {
  const auto marks = read_json(folder / "marks.calibration.json");
  if (!marks) return tl::unexpected<Error>(marks.error());
  try {
    Calibrations all;
    all.reader_temperature = marks->at("reader_temperature").get<double>();
    all.places_temperature = marks->at("places_temperature").get<double>();
    all.number = table_from(marks->at("number"));
    all.vent = table_from(marks->at("vent"));
    all.sign = table_from(marks->at("sign"));
    auto second = second_tables(folder);
    if (!second) return tl::unexpected<Error>(second.error());
    all.second = std::move(*second);
    return all;
  } catch (const nlohmann::json::exception&) {
    return fail(ErrorCode::model_missing, "calibration lacks a table; install the models again",
                folder.string());
  }
}

}  // namespace plumbstack
