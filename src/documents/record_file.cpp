#include "record_file.hpp"

#include <charconv>
#include <fstream>

namespace plumbstack {
namespace {

// A document of a later version: "plumbstack/plan/2" where /1 is read.
bool is_newer(const std::string& schema, const std::string& stem) {
  if (!schema.starts_with(stem)) return false;
  int version = 0;
  const char* end = schema.data() + schema.size();
  const auto [stop, error] = std::from_chars(schema.data() + stem.size(), end, version);
  return error == std::errc() && stop == end && version > 1;
}

}  // namespace

Result<Json> parse_record(const std::string& json, const std::string& origin,
                          const std::string& what, const Pack& pack) {
  Json document = Json::parse(json, nullptr, false);
  if (document.is_discarded())
    return fail(ErrorCode::record_unreadable,
                "is not JSON; give the " + what + ".json of this pack", origin);
  const std::string stem = "plumbstack/" + what + "/";
  std::optional<std::string> fault;
  JsonReader in(document, "", fault);
  if (const std::string schema = document.is_object() ? in.text("schema") : ""; !fault) {
    if (is_newer(schema, stem))
      return fail(ErrorCode::record_invalid,
                  "is of a newer version (" + schema + "); this program reads " + stem + "1",
                  origin);
    in.word("schema", {stem + "1"});
  }
  const std::string id = fault ? "" : in.text("pack");
  if (!fault && id != pack.id)
    fault = "is of the pack " + id + ", and the pack definition is of " + pack.id;
  if (fault) return fail(ErrorCode::record_invalid, *fault, origin);
  return document;
}

Result<std::string> read_file(const std::filesystem::path& file, std::size_t longest,
                              const std::string& what, ErrorCode code) {
  std::error_code error;
  std::ifstream in(file, std::ios::binary);
  if (!in || std::filesystem::is_directory(file, error))
    return fail(code, "can't be read; check the name of the " + what, file.string());
  std::string text(longest + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (text.size() > longest)
    return fail(code, "is over " + std::to_string(longest >> 20) + " MiB and no " + what,
                file.string());
  return text;
}

void check_slots(const Json& slots, const std::string& path, const Pack& pack,
                 std::optional<std::string>& fault) {
  if (fault) return;
  if (!slots.is_array() || slots.size() != static_cast<std::size_t>(pack.modules)) {
    fault = path + " must be a list of " + std::to_string(pack.modules) + " slots, as " + pack.id +
            " has them";
    return;
  }
  for (int slot = 1; slot <= pack.modules; ++slot) {
    JsonReader one(slots[static_cast<std::size_t>(slot - 1)], path + "." + std::to_string(slot - 1),
                   fault);
    if (one.whole("slot", 1, pack.modules) != slot && !fault)
      one.refuse(one.path_of("slot"), std::to_string(slot) + ": slots stand in their order");
  }
}

}  // namespace plumbstack
