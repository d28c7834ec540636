#include "plumbstack/check_list.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "plumbstack/base/json_reader.hpp"

namespace plumbstack {
namespace {

constexpr double kInsulationOhmPerVolt = 500;  // UN ECE R100, from memory
constexpr double kOhmPerMegohm = 1e6;

int module_blocks(const Pack& pack) {
  const int size = pack.electrical ? pack.electrical->modules_per_block : 1;
  return (pack.modules + size - 1) / size;
}

double charged_voltage(const Pack& pack) {
  const ElectricalRule rule = pack.electrical.value_or(ElectricalRule{});
  return pack.modules * rule.cells_per_module * rule.charged_v_per_cell;
}

CheckLine line(Stage stage, const char* id, const char* text, Answer answer = Answer::done) {
  CheckLine made;
  made.id = id;
  made.text = text;
  made.stage = stage;
  made.answer = answer;
  return made;
}

CheckLine figures(CheckLine made, const char* unit, int count = 1) {
  made.answer = Answer::figures;
  made.unit = unit;
  made.count = count;
  return made;
}

CheckLine about_the_stack(CheckLine made) {
  made.voids_pass = true;
  return made;
}

// So many modules at rest read between nine tenths of nominal and charged (common practice, no
// source): a nought, or a decimal point that slipped, is no reading.
void limit_to_modules(const Pack& pack, int fewest, int most, CheckLine& line) {
  const ElectricalRule rule = pack.electrical.value_or(ElectricalRule{});
  line.least = 0.9 * fewest * rule.cells_per_module * rule.nominal_v_per_cell;
  line.most = most * rule.cells_per_module * rule.charged_v_per_cell;
}

std::vector<CheckLine> lines_before(const Pack& pack) {
  const Stage now = Stage::before;
  CheckLine voltages = about_the_stack(
      figures(line(now, "module-voltages", "Voltage of every module, matched within the limit"),
              "V", pack.modules));
  limit_to_modules(pack, 1, 1, voltages);
  if (pack.plan && pack.plan->voltage_spread_mv)
    voltages.spread = *pack.plan->voltage_spread_mv / 1000;
  return {line(now, "service-plug",
               "Service plug out and kept by you, absence of voltage proved with a meter"),
          line(now, "gloves-and-tools",
               "Insulating gloves and tools rated, in date and looked over; no jewellery"),
          line(now, "serials", "Number compared with serial on every module, before stacking",
               Answer::serials),
          voltages,
          about_the_stack(line(now, "condition", "Swelling, leaks, corroded studs: what was seen",
                               Answer::note))};
}

std::vector<CheckLine> lines_stacked(const Pack& pack) {
  const Stage now = Stage::stacked;
  CheckLine length = about_the_stack(
      figures(line(now, "compressed-length", "Length of the stack compressed"), "mm"));
  length.least = 0.9 * pack.modules * pack.module_mm.thickness;  // no module gives way further
  CheckLine torque = about_the_stack(
      figures(line(now, "end-plate-torque", "Torque of the end plates' fasteners"), "Nm"));
  torque.least = 0.1;  // what it should be is the shop's to know: only not nothing
  return {length, torque, line(now, "side-photos", "The photos of all sides pass", Answer::pass)};
}

// Full blocks of matched modules differ by no more than their modules may.
CheckLine block_voltages(const Pack& pack) {
  const int size = pack.electrical.value_or(ElectricalRule{}).modules_per_block;
  CheckLine made = about_the_stack(figures(
      line(Stage::bussed, "block-voltages", "Voltage of every block"), "V", module_blocks(pack)));
  const int rest = pack.modules % size;
  limit_to_modules(pack, rest == 0 ? size : rest, std::min(pack.modules, size), made);
  if (rest == 0 && pack.plan && pack.plan->voltage_spread_mv)
    made.spread = *pack.plan->voltage_spread_mv / 1000 * size;
  return made;
}

std::vector<CheckLine> lines_bussed(const Pack& pack) {
  const Stage now = Stage::bussed;
  CheckLine nuts = figures(line(now, "bus-nuts", "Nuts of the bus bars, torque"), "Nm");
  if (pack.bus_nut_torque_nm) {  // a torque wrench is good for some 10 %: common practice
    nuts.least = *pack.bus_nut_torque_nm * 0.9;
    nuts.most = *pack.bus_nut_torque_nm * 1.1;
  }
  CheckLine insulation =
      about_the_stack(figures(line(now, "insulation", "Insulation resistance to the case"), "MΩ"));
  insulation.least = charged_voltage(pack) * kInsulationOhmPerVolt / kOhmPerMegohm;
  return {line(now, "bus-bars", "Bus bars fitted the right way, clean and undamaged"),
          nuts,
          line(now, "sense-leads", "Sense leads fitted, none swapped, none pinched"),
          line(now, "sensors", "Temperature sensors in place"),
          line(now, "vent-hose", "Vent hose on every vent, led out of the case"),
          line(now, "bussed-photo", "Photo of the pack after bussing", Answer::photo),
          block_voltages(pack),
          insulation};
}

CheckLine read_line(JsonReader in) {
  CheckLine made;
  made.id = in.text("id");
  made.text = in.text("text");
  const std::string stage = in.word("stage", {"before", "stacked", "bussed"});
  made.stage = stage == "before"    ? Stage::before
               : stage == "stacked" ? Stage::stacked
                                    : Stage::bussed;
  const std::vector<std::string> answers{"done", "note", "figures", "photo", "serials", "pass"};
  const std::string answer = in.word("answer", answers);
  made.answer =
      static_cast<Answer>(std::find(answers.begin(), answers.end(), answer) - answers.begin());
  if (made.answer == Answer::figures) {
    made.unit = in.text("unit");
    made.count = in.whole_or("count", 1, 200, 1);
    made.least = in.number_if("least", -1e6, 1e6);
    made.most = in.number_if("most", -1e6, 1e6);
    made.spread = in.number_if("spread", 0, 1e6);
  }
  made.voids_pass = in.truth("voids_pass", false);
  in.no_more_keys();
  return made;
}

bool is_id(const std::string& id) {
  return !id.empty() && id.size() <= 40 && std::all_of(id.begin(), id.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
}

std::vector<CheckLine> read_lines(const Json& document, std::optional<std::string>& fault) {
  JsonReader in(document, "", fault);
  in.word("schema", {"plumbstack/check-list/1"});
  std::vector<CheckLine> lines;
  if (!in.has("lines") || !in.json()["lines"].is_array()) {
    in.refuse("lines", "a list of lines");
    return lines;
  }
  for (const Json& one : in.json()["lines"]) {
    const std::string path = "lines[" + std::to_string(lines.size()) + "]";
    const CheckLine made = read_line(JsonReader(one, path, fault));
    if (!is_id(made.id)) in.refuse(path + ".id", "1 to 40 lower-case letters, digits and hyphens");
    for (const CheckLine& before : lines)
      if (before.id == made.id)
        in.refuse(path + ".id", "another id (" + made.id + " is there already)");
    lines.push_back(made);
  }
  in.no_more_keys();
  const auto passes = std::count_if(
      lines.begin(), lines.end(), [](const CheckLine& one) { return one.answer == Answer::pass; });
  if (passes != 1) in.refuse("lines", "a list with one line whose answer is pass");
  return lines;
}

}  // namespace

std::vector<CheckLine> default_check_list(const Pack& pack) {
  std::vector<CheckLine> lines = lines_before(pack);
  for (auto&& stage : {lines_stacked(pack), lines_bussed(pack)})
    lines.insert(lines.end(), stage.begin(), stage.end());
  return lines;
}

Result<std::vector<CheckLine>> parse_check_list(const std::string& json_text,
                                                const std::string& origin) {
  const Json document = Json::parse(json_text, nullptr, false);
  if (document.is_discarded())
    return fail(ErrorCode::document_invalid, "is not JSON; check brackets, commas and quotes",
                origin);
  std::optional<std::string> fault;
  std::vector<CheckLine> lines = read_lines(document, fault);
  if (fault) return fail(ErrorCode::document_invalid, *fault, origin);
  return lines;
}

Result<std::vector<CheckLine>> load_check_list(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::error_code error;
  if (!in || std::filesystem::is_directory(file, error))
    return fail(ErrorCode::document_invalid, "can't be read; check the name of the check list",
                file.string());
  return parse_check_list({std::istreambuf_iterator<char>(in), {}}, file.string());
}

}  // namespace plumbstack
