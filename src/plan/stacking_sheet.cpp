// The stacking sheet in the order in which it is needed: cautions and what was reached, the order
// of the modules, every side as it must look, then the figures and what stays out.
#include <algorithm>

#include "plan_parts.hpp"
#include "plumbstack/base/html_text.hpp"
#include "plumbstack/plan_record.hpp"
#include "sheet_parts.hpp"

namespace plumbstack {
namespace {

std::string counted(std::size_t many, const std::string& one) {
  return std::to_string(many) + " " + one + (many == 1 ? "" : "s");
}

// Decimals that show all of these figures in full, three at most.
template <typename Figure>
int decimals_of(const TestSheet& sheet, Figure figure) {
  for (int decimals = 0; decimals < 3; ++decimals)
    if (std::all_of(sheet.modules.begin(), sheet.modules.end(), [&](const TestedModule& m) {
          return short_number(figure(m)) == short_number(std::stod(fixed(figure(m), decimals)));
        }))
      return decimals;
  return 3;
}

struct Decimals {
  int capacity, resistance, voltage;
};

Decimals decimals_of(const TestSheet& sheet) {
  return {decimals_of(sheet, [](const TestedModule& m) { return m.capacity_ah; }),
          decimals_of(sheet, [](const TestedModule& m) { return m.resistance_mohm; }),
          decimals_of(sheet, [](const TestedModule& m) { return m.voltage_v; })};
}

const TestedModule& module_of(const Plan& plan, const TestSheet& sheet, int slot) {
  return sheet.modules[plan.slots[static_cast<std::size_t>(slot - 1)].module];
}

std::string voltage_caution(const Pack& pack) {
  constexpr double kHighV = 60;  // DC, above it: high voltage (UN ECE R100)
  const std::string always = "Modules stay charged. ";
  if (!pack.electrical) return always + "A stack like this holds a voltage that kills.";
  const double volts =
      pack.modules * pack.electrical->cells_per_module * pack.electrical->charged_v_per_cell;
  const std::string stands =
      always + "Charged, this stack can stand at about " + fixed(volts, 0) + " V DC";
  return stands + (volts > kHighV ? ": that kills." : "; joined to others it can kill.");
}

Caution cautions(const Pack& pack) {
  return {
      "Caution: high voltage",
      {voltage_caution(pack),
       "Work on it only if you are trained and licensed for it, with insulated tools and gloves "
       "rated for the voltage, without jewellery, and not alone.",
       "Local codes, licensed practice and the maker's instructions come first. This sheet is "
       "arithmetic on your own measurements; it does not say that a module is safe.",
       "Fit bus bars only after the assembled stack was checked and you have looked yourself; "
       "prove with a meter what each tap reads."}};
}

std::string capacity_words(const Plan& plan) {
  const double gap = plan.spread.capacity_ah - plan.bound_ah;
  std::string text = "Capacity: the full blocks' sums lie within " +
                     short_number(plan.spread.capacity_ah) + " Ah of each other (" +
                     short_number(plan.before.capacity_ah) +
                     " Ah in the order of the test sheet). ";
  if (gap < 5e-7) return text + "No arrangement of these modules does better.";
  return text + "None can do better than " + short_number(plan.bound_ah) + " Ah; whether the " +
         fixed(gap, 6) + " Ah between can be gained is not known.";
}

std::string resistance_words(const Plan& plan) {
  return "Resistance: within " + short_number(plan.spread.resistance_mohm) + " mΩ (" +
         short_number(plan.before.resistance_mohm) + " mΩ in the order of the test sheet)" +
         (plan.resistance_proved ? ", the least there is at that spread of capacity."
                                 : "; not proved to be the least.");
}

std::string cool_words(const Pack& pack) {
  switch (pack.plan.value_or(PlanRule{}).cool_end) {
    case CoolEnd::first: return "Weaker blocks stand at the cool end, slot 1.";
    case CoolEnd::last:
      return "Weaker blocks stand at the cool end, slot " + std::to_string(pack.modules) + ".";
    case CoolEnd::both: return "Weaker blocks stand at both ends, the cool ones.";
  }
  return "";
}

Section summary(const Pack& pack, const Plan& plan) {
  Section section{"", false, {cautions(pack)}};
  if (!plan.before_ah.empty()) {
    section.pieces.push_back(Paragraph{capacity_words(plan)});
    section.pieces.push_back(Paragraph{resistance_words(plan)});
  }
  section.pieces.push_back(
      Paragraph{cool_words(pack) + " Left out: " + counted(plan.spares.size(), "spare") + ", " +
                std::to_string(plan.refused.size()) + " refused (last page)."});
  if (!plan.before_ah.empty()) section.pieces.push_back(Figure{capacity_plot(plan)});
  return section;
}

// The side on which the way round is told in words: one with vents, else one whose sign has an end.
const Side& telling_side(const Pack& pack) {
  const auto rank = [](const Side& side) {
    return side.vent ? 3 : side.sign && side.sign->end ? 2 : side.sign ? 1 : 0;
  };
  return *std::max_element(pack.sides.begin(), pack.sides.end(),
                           [&](const Side& a, const Side& b) { return rank(a) < rank(b); });
}

Section order(const Pack& pack, const TestSheet& sheet, const Plan& plan) {
  const Side& side = telling_side(pack);
  const Decimals decimals = decimals_of(sheet);
  Table table{{{"Slot", 0.7, Align::right},
               {"Number", 1.2, Align::middle, true},
               {"Serial", 2.6, Align::left, true},
               {"Block", 0.8, Align::middle},
               {"Side " + side.name, 2.3},
               {"Ah", 1, Align::right},
               {"mΩ", 0.9, Align::right},
               {"V", 0.9, Align::right},
               {"Done", 0.7, Align::middle}},
              {}};
  for (const PlannedBlock& block : plan.blocks)
    for (const int slot : block.slots) {
      const TestedModule& module = module_of(plan, sheet, slot);
      table.rows.push_back({{std::to_string(slot),
                             std::to_string(plan.slots[static_cast<std::size_t>(slot - 1)].number),
                             module.serial, std::to_string(block.block), way_round(side, slot),
                             fixed(module.capacity_ah, decimals.capacity),
                             fixed(module.resistance_mohm, decimals.resistance),
                             fixed(module.voltage_v, decimals.voltage), "☐"},
                            slot == block.slots.front()});
    }
  return {"Order of the modules", true, {table}};
}

std::string legend(const Pack& pack, const Side& side) {
  std::string text = "Seen with slot 1 at the top.";
  if (!pack.slot_1_up) text += " Turn the sheet as the stack lies.";
  if (side.number) {
    text += " Number: " + (side.number->end
                               ? std::string("near the ") + name_of(*side.number->end) + " end"
                               : std::string("at either end"));
    if (side.number->rotation_deg != 0)
      text += ", turned by " + std::to_string(side.number->rotation_deg) + "° clockwise";
    text += "; the arrow points to its top.";
  }
  if (side.vent) text += " Disc: vent.";
  if (side.sign)
    text += side.sign->end ? std::string(" Ring: sign at the ") + name_of(*side.sign->end) + " end."
                           : " Ring: sign.";
  return text;
}

void add_sides(const Pack& pack, const TestSheet& sheet, const Plan& plan, Document& document) {
  for (const Side& side : pack.sides) {
    const std::vector<Drawing> drawings = side_drawings(pack, side, sheet, plan);
    for (std::size_t i = 0; i < drawings.size(); ++i) {
      std::string title = "Side " + side.name;
      if (drawings.size() > 1)
        title += " (" + std::to_string(i + 1) + " of " + std::to_string(drawings.size()) + ")";
      document.sections.push_back(
          {title, true, {Paragraph{legend(pack, side)}, Figure{drawings[i]}}});
    }
  }
}

Table block_table(const TestSheet& sheet, const Plan& plan) {
  double mean = 0, full = 0;
  for (const PlannedBlock& block : plan.blocks) {
    mean += block.full ? block.capacity_sum_ah : 0;
    full += block.full;
  }
  mean /= std::max(full, 1.0);
  Table table{{{"Block", 0.8, Align::middle},
               {"Slots", 1.1},
               {"Serials", 3.4},
               {"Sum, Ah", 1.2, Align::right},
               {"Off the mean, Ah", 1.3, Align::right},
               {"Weakest, Ah", 1.2, Align::right},
               {"Sum, mΩ", 1.1, Align::right}},
              {}};
  for (const PlannedBlock& block : plan.blocks) {
    std::string serials;
    for (const int slot : block.slots)
      serials += (serials.empty() ? "" : ", ") + module_of(plan, sheet, slot).serial;
    const std::string slots =
        std::to_string(block.slots.front()) + " to " + std::to_string(block.slots.back());
    table.rows.push_back(
        {{std::to_string(block.block), slots, serials, fixed(block.capacity_sum_ah, 3),
          block.full ? fixed(block.capacity_sum_ah - mean, 3) : "short block",
          fixed(block.capacity_min_ah, 3), fixed(block.resistance_sum_mohm, 2)},
         false});
  }
  return table;
}

Table spread_table(const Plan& plan) {
  return {
      {{"Largest block less smallest", 2.4},
       {"As listed", 1, Align::right},
       {"As planned", 1, Align::right},
       {"Least possible", 1.6, Align::right}},
      {{{"Capacity, Ah", fixed(plan.before.capacity_ah, 3), fixed(plan.spread.capacity_ah, 3),
         plan.spread.capacity_ah - plan.bound_ah < 5e-7 ? fixed(plan.bound_ah, 3)
                                                        : "not under " + fixed(plan.bound_ah, 3)},
        false},
       {{"Resistance, mΩ", fixed(plan.before.resistance_mohm, 2),
         fixed(plan.spread.resistance_mohm, 2),
         plan.resistance_proved ? fixed(plan.spread.resistance_mohm, 2) : "not known"},
        false}}};
}

Section left_out(const TestSheet& sheet, const Plan& plan) {
  Section section{"Modules left out", false, {}};
  if (plan.spares.empty() && plan.refused.empty()) section.pieces.push_back(Paragraph{"None."});
  if (!plan.spares.empty()) {
    const Decimals decimals = decimals_of(sheet);
    Table table{
        {{"Spare", 2.6}, {"Ah", 1, Align::right}, {"mΩ", 1, Align::right}, {"V", 1, Align::right}},
        {}};
    for (const std::size_t i : plan.spares) {
      const TestedModule& module = sheet.modules[i];
      table.rows.push_back({{module.serial, fixed(module.capacity_ah, decimals.capacity),
                             fixed(module.resistance_mohm, decimals.resistance),
                             fixed(module.voltage_v, decimals.voltage)},
                            false});
    }
    section.pieces.push_back(table);
  }
  if (!plan.refused.empty()) {
    Table table{{{"Refused", 1}, {"Why", 3}}, {}};
    for (const RefusedModule& refused : plan.refused)
      table.rows.push_back({{sheet.modules[refused.module].serial, refused.reason}, false});
    section.pieces.push_back(table);
  }
  return section;
}

}  // namespace

Document stacking_sheet(const Pack& pack, const TestSheet& sheet, const Plan& plan) {
  Document document;
  document.title = "Stacking sheet: " + pack.id;
  document.subtitle = pack.name + ". " + std::to_string(pack.modules) + " modules in blocks of " +
                      std::to_string(block_size(pack)) + ".";
  document.footer =
      "plumbstack " PLUMBSTACK_VERSION ", " + pack.id + ". High voltage: qualified people only.";
  document.sections.push_back(summary(pack, plan));
  document.sections.push_back(order(pack, sheet, plan));
  add_sides(pack, sheet, plan, document);
  Section blocks{"Blocks", true, {}};
  if (!plan.before_ah.empty()) blocks.pieces.push_back(spread_table(plan));
  blocks.pieces.push_back(block_table(sheet, plan));
  document.sections.push_back(blocks);
  document.sections.push_back(left_out(sheet, plan));
  return document;
}

std::string stacking_sheet_html(const Pack& pack, const TestSheet& sheet, const Plan& plan) {
  return document_html(stacking_sheet(pack, sheet, plan));
}

Result<std::string> stacking_sheet_pdf(const Pack& pack, const TestSheet& sheet, const Plan& plan,
                                       Paper paper) {
  return document_pdf(stacking_sheet(pack, sheet, plan), paper);
}

}  // namespace plumbstack
