// manifest.json: {"schema": "plumbstack/manifest/1", "photos": [{"stack": ..., "side": ...,
// "file": ..., and where they are wanted "pack" and "slot_1"}, ...]}. Places are JSON pointers.
#include "manifest_rows.hpp"
#include "plumbstack/base/json_reader.hpp"

namespace plumbstack {
namespace {

constexpr const char* kSchema = "plumbstack/manifest/1";

tl::unexpected<Error> wrong(const std::string& file, const std::string& what) {
  return fail(ErrorCode::sheet_invalid, what, file);
}

Result<ManifestRow> row_of(const Json& photo, const std::string& place, const std::string& file) {
  if (!photo.is_object()) return wrong(file, place + ": must be an object");
  ManifestRow row;
  row.place = place;
  const std::pair<const char*, std::string*> keys[] = {{"stack", &row.stack},
                                                       {"side", &row.side},
                                                       {"file", &row.file},
                                                       {"pack", &row.pack},
                                                       {"slot_1", &row.slot_1}};
  for (const auto& [key, value] : photo.items()) {
    std::string* field = nullptr;
    for (const auto& [name, place_of] : keys)
      if (key == name) field = place_of;
    const std::string at = (Json::json_pointer(place) / key).to_string();
    if (!field)
      return wrong(file,
                   at + ": is not a known key; here may stand: stack, side, file, pack, slot_1");
    if (!value.is_string() || value.get<std::string>().empty())
      return wrong(file, at + ": must be a text that is not empty");
    *field = value.get<std::string>();
  }
  for (const char* key : {"stack", "side", "file"})
    if (!photo.contains(key)) return wrong(file, place + "/" + key + ": is missing");
  return row;
}

}  // namespace

Result<std::vector<ManifestRow>> rows_of_json(const std::string& text, const std::string& origin) {
  std::optional<std::string> twice;
  const Json document = parsed_json(text, twice);
  if (document.is_discarded())
    return fail(ErrorCode::sheet_unreadable, "is not JSON; check brackets, commas and quotes",
                origin);
  if (twice) return wrong(origin, *twice + " stands twice in one object; keep one of the two");
  if (!document.is_object()) return wrong(origin, "the document must be an object");
  for (const auto& [key, value] : document.items())
    if (key != "schema" && key != "photos")
      return wrong(origin, (Json::json_pointer() / key).to_string() +
                               ": is not a known key; here may stand: schema, photos");
  if (!document.contains("schema") || document["schema"] != kSchema)
    return wrong(origin, std::string("/schema: must be ") + kSchema);
  if (!document.contains("photos") || !document["photos"].is_array())
    return wrong(origin, "/photos: must be a list");
  std::vector<ManifestRow> rows;
  for (std::size_t i = 0; i < document["photos"].size(); ++i) {
    auto row = row_of(document["photos"][i], "/photos/" + std::to_string(i), origin);
    if (!row) return tl::unexpected(row.error());
    rows.push_back(std::move(*row));
  }
  return rows;
}

}  // namespace plumbstack
