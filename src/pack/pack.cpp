#include "plumbstack/pack.hpp"

#include <algorithm>
#include <cstring>
#include <fstream>
#include <functional>
#include <set>

#include "plumbstack/base/json_reader.hpp"

namespace plumbstack {
namespace {

using Fault = std::optional<std::string>;

std::optional<End> end_of(const std::string& word) {
  if (word == "left") return End::left;
  if (word == "right") return End::right;
  return std::nullopt;
}

MarkColor color_of(const std::string& word) {
  static const std::map<std::string, MarkColor> colors{
      {"red", MarkColor::red},     {"blue", MarkColor::blue},   {"black", MarkColor::black},
      {"white", MarkColor::white}, {"green", MarkColor::green}, {"yellow", MarkColor::yellow}};
  return colors.at(word);
}

NumberRule read_number(JsonReader in) {
  NumberRule rule;
  rule.first = in.whole_or("first", 0, 9999, rule.first);
  rule.end = end_of(in.word("end", {"left", "right", "any"}));
  rule.rotation_deg = in.whole("rotation_deg", 0, 270);
  if (rule.rotation_deg % 90 != 0) in.refuse(in.path_of("rotation_deg"), "0, 90, 180 or 270");
  in.no_more_keys();
  return rule;
}

VentRule read_vent(JsonReader in) {
  const VentRule rule{*end_of(in.word("slot_1_end", {"left", "right"}))};
  in.no_more_keys();
  return rule;
}

SignRule read_sign(JsonReader in) {
  SignRule rule;
  rule.slot_1 = in.word("slot_1", {"+", "-"}) == "+" ? Sign::plus : Sign::minus;
  rule.end = end_of(in.word("end", {"left", "right", "any"}));
  if (in.has("colors")) {
    JsonReader colors = in.object("colors");
    for (const char* sign : {"+", "-"})
      if (colors.has(sign))
        rule.colors[*sign == '+' ? Sign::plus : Sign::minus] =
            color_of(colors.word(sign, {"red", "blue", "black", "white", "green", "yellow"}));
    if (rule.colors.size() == 2 && rule.colors[Sign::plus] == rule.colors[Sign::minus])
      in.refuse(in.path_of("colors"), "two different colours");
    colors.no_more_keys();
  }
  in.no_more_keys();
  return rule;
}

Side read_side(const std::string& name, JsonReader in) {
  Side side;
  side.name = name;
  side.strip_mm = in.number("strip_mm", 20, 2000);
  if (in.has("number")) side.number = read_number(in.object("number"));
  if (in.has("vent")) side.vent = read_vent(in.object("vent"));
  if (in.has("sign")) side.sign = read_sign(in.object("sign"));
  if (!side.number && !side.vent && !side.sign)
    in.refuse(in.path_of("number"),
              "given, or vent, or sign: a side without marks can't be checked");
  in.no_more_keys();
  return side;
}

ModuleSize read_size(JsonReader in) {
  ModuleSize size;
  size.length = in.number("length", 20, 2000);
  size.height = in.number("height", 20, 2000);
  size.thickness = in.number("thickness", 4, 200);
  size.pitch = in.number_if("pitch", size.thickness, 300).value_or(size.thickness);
  in.no_more_keys();
  return size;
}

ElectricalRule read_electrical(JsonReader in) {
  ElectricalRule rule;
  rule.cells_per_module = in.whole_or("cells_per_module", 1, 100, rule.cells_per_module);
  // NiMH where nothing is said; another chemistry charges in the same proportion over its nominal.
  const double charged_over_nominal = rule.charged_v_per_cell / rule.nominal_v_per_cell;
  rule.nominal_v_per_cell =
      in.number_if("nominal_v_per_cell", 0.5, 5).value_or(rule.nominal_v_per_cell);
  rule.charged_v_per_cell = in.number_if("charged_v_per_cell", rule.nominal_v_per_cell, 7)
                                .value_or(rule.nominal_v_per_cell * charged_over_nominal);
  rule.modules_per_block = in.whole_or("modules_per_block", 1, 100, rule.modules_per_block);
  in.no_more_keys();
  return rule;
}

PlanRule read_plan(JsonReader in) {
  PlanRule rule;
  rule.capacity_min_ah = in.number_if("capacity_min_ah", 0, 1000);
  rule.resistance_max_mohm = in.number_if("resistance_max_mohm", 0, 10000);
  rule.voltage_spread_mv = in.number_if("voltage_spread_mv", 0, 10000);
  if (in.has("cool_end")) {
    const std::string word = in.word("cool_end", {"first", "last", "both"});
    rule.cool_end = word == "first"  ? CoolEnd::first
                    : word == "last" ? CoolEnd::last
                                     : CoolEnd::both;
  }
  in.no_more_keys();
  return rule;
}

void read_required_sides(JsonReader& in, Pack& pack) {
  if (!in.has("required_sides")) {
    for (const Side& side : pack.sides) pack.required_sides.push_back(side.name);
    return;
  }
  for (const std::string& name : in.texts("required_sides")) {
    if (!pack.side(name))
      in.refuse(in.path_of("required_sides"), "names of this pack's sides (" + name + " is none)");
    // A name given twice is most likely a slip for another side, which would go unchecked.
    if (std::count(pack.required_sides.begin(), pack.required_sides.end(), name) != 0)
      in.refuse(in.path_of("required_sides"), "different sides (" + name + " is there twice)");
    pack.required_sides.push_back(name);
  }
}

// Side names stand on the command line as SIDE@EDGE=PHOTO and in file names.
bool is_side_name(const std::string& name) {
  return !name.empty() && name.size() <= 40 &&
         std::all_of(name.begin(), name.end(), [](unsigned char c) {
           return c > ' ' && c != 127 && !std::strchr("=@/\\", c);
         });
}

void read_sides(JsonReader& in, Pack& pack) {
  JsonReader sides = in.object("sides");
  for (const auto& [name, value] : sides.json().items()) {
    if (!is_side_name(name))
      sides.refuse(sides.path_of(name), "named by 1 to 40 characters without space, =, @, / or \\");
    pack.sides.push_back(read_side(name, sides.object(name)));
  }
  if (pack.sides.empty() || pack.sides.size() > 12)
    in.refuse(in.path_of("sides"), "one to twelve sides");
}

Pack read_pack(const Json& document, Fault& fault) {
  Pack pack;
  JsonReader in(document, "", fault);
  in.word("schema", {"plumbstack/pack/1"});
  pack.id = in.text("id");
  pack.name = in.text("name");
  pack.modules = in.whole("modules", 2, 200);
  pack.module_mm = read_size(in.object("module_mm"));
  read_sides(in, pack);
  read_required_sides(in, pack);
  pack.stagger_limit_mm = in.number_if("stagger_limit_mm", 0.05, 100);
  pack.seat_gap_limit_mm = in.number_if("seat_gap_limit_mm", 0.1, 100);
  pack.slot_1_up = in.truth("slot_1_up", false);
  if (in.has("electrical")) pack.electrical = read_electrical(in.object("electrical"));
  if (in.has("plan")) pack.plan = read_plan(in.object("plan"));
  pack.bus_nut_torque_nm = in.number_if("bus_nut_torque_nm", 0.1, 200);
  in.no_more_keys();
  return pack;
}

}  // namespace

const Side* Pack::side(const std::string& side_name) const {
  const auto at =
      std::find_if(sides.begin(), sides.end(), [&](const Side& s) { return s.name == side_name; });
  return at == sides.end() ? nullptr : &*at;
}

Result<Pack> parse_pack(const std::string& json_text, const std::string& origin) {
  Fault twice;
  const Json document = parsed_json(json_text, twice);
  if (document.is_discarded())
    return fail(ErrorCode::pack_unreadable, "is not JSON; check brackets, commas and quotes",
                origin);
  if (twice)
    return fail(ErrorCode::pack_invalid, *twice + " stands twice; keep one of the two", origin);
  Fault fault;
  Pack pack = read_pack(document, fault);
  if (fault) return fail(ErrorCode::pack_invalid, *fault, origin);
  return pack;
}

Result<Pack> load_pack(const std::filesystem::path& file) {
  constexpr std::size_t kLongest = 1 << 20;  // a definition has some 2 KiB; this is another file
  std::error_code error;
  std::ifstream in(file, std::ios::binary);
  if (!in || std::filesystem::is_directory(file, error))
    return fail(ErrorCode::pack_unreadable, "can't be read; check the name of the pack definition",
                file.string());
  std::string text(kLongest + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  if (text.size() > kLongest)
    return fail(ErrorCode::pack_unreadable, "is over 1 MiB and no pack definition", file.string());
  return parse_pack(text, file.string());
}

}  // namespace plumbstack
