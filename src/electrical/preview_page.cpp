// The page in the order in which it is needed: what is wrong, cautions, the row, what a meter must
// read, the bars, what may explain the readings, the check list, what all of it rests on.
#include <algorithm>

#include "parts.hpp"
#include "plumbstack/base/html_text.hpp"
#include "plumbstack/document.hpp"
#include "plumbstack/electrical_record.hpp"
#include "row_drawing.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kMostShown = 20;  // explanations; the document has all

std::string shown(const ElectricalInput& input, const std::optional<double>& v) {
  if (!input.signs_seen) return "not seen";
  return v ? fixed(*v, 2) : "not known";
}

std::string shown(VoltSpan span) {
  return fixed(span.low, 2) + " to " + fixed(span.high, 2);
}

std::string capital(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::string headline(const ElectricalInput& input, const Preview& preview) {
  switch (preview.outcome) {
    case Outcome::fix: return "To fix";
    case Outcome::not_known: return "Not enough is known";
    case Outcome::as_intended: break;
  }
  if (input.signs_seen || !input.readings.empty()) return "As intended, as far as it was looked at";
  return "As planned: no stack has been looked at";
}

Section findings(const ElectricalInput& input, const Preview& preview) {
  Section section{headline(input, preview), false, {}};
  for (const Advice& advice : preview.advice)
    section.pieces.push_back(
        Paragraph{capital(advice.message) + ". → " + capital(advice.action) + "."});
  std::string row = "The row: " + fixed(preview.intended_v, 2) + " V as intended";
  if (!input.signs_seen)
    row += ". Signs are taken as planned, not from photos.";
  else if (preview.as_stacked_v)
    row += ", " + fixed(*preview.as_stacked_v, 2) + " V as stacked.";
  else
    row += "; as stacked not known, between " + fixed(preview.as_stacked.low, 2) + " and " +
           fixed(preview.as_stacked.high, 2) + " V.";
  section.pieces.push_back(Paragraph{row});
  return section;
}

void add_row(const Pack& pack, const ElectricalInput& input, const Preview& preview,
             Document& document) {
  const std::vector<Drawing> drawings = row_drawings(pack, input, preview);
  for (std::size_t i = 0; i < drawings.size(); ++i) {
    std::string title = "The row";
    if (drawings.size() > 1)
      title += " (" + std::to_string(i + 1) + " of " + std::to_string(drawings.size()) + ")";
    document.sections.push_back(
        {title,
         true,
         {Paragraph{"Slot 1 at the top. Signs as " +
                    std::string(input.signs_seen ? "seen" : "planned") +
                    "; thick lines are bus bars as they are meant to be fitted."},
          Figure{drawings[i]}}});
  }
}

std::string reading_text(const BlockPreview& block) {
  switch (block.state) {
    case ReadingState::not_measured: return "";
    case ReadingState::open: return "✗ open";
    case ReadingState::within: return "✓ " + fixed(*block.reading.v, 3);
    case ReadingState::outside: return "✗ " + fixed(*block.reading.v, 3);
  }
  return "";
}

Section block_table(const ElectricalInput& input, const Preview& preview) {
  Table table{{{"Block", 0.7, Align::middle},
               {"Slots", 1.1},
               {"As intended, V", 1.1, Align::right},
               {"As stacked, V", 1.1, Align::right},
               {"Meter must show, V", 1.7, Align::right},
               {"Meter shows, V", 1.3, Align::right}},
              {}};
  for (const BlockPreview& block : preview.blocks) {
    const std::string slots =
        block.slots.size() == 1
            ? std::to_string(block.slots.front())
            : std::to_string(block.slots.front()) + " to " + std::to_string(block.slots.back());
    table.rows.push_back(
        {{std::to_string(block.block), slots, fixed(block.intended_v, 2),
          shown(input, block.as_stacked_v), shown(block.meter), reading_text(block)},
         false});
  }
  const bool first = input.negative_end == StackEnd::first;
  return {"Blocks: what a meter must show across each",
          true,
          {Paragraph{std::string("Red lead on the tap further from the pack's negative end (the "
                                 "one with the ") +
                     (first ? "higher" : "lower") + " number), black lead on the other."},
           table}};
}

Section tap_table(const ElectricalInput& input, const Preview& preview) {
  Table table{{{"Tap", 0.7, Align::middle},
               {"Where", 2},
               {"Intended, V", 1.1, Align::right},
               {"Stacked, V", 1.1, Align::right},
               {"Meter must show, V", 1.8, Align::right},
               {"Charged", 1.2, Align::middle}},
              {}};
  const int last = static_cast<int>(preview.taps.size()) - 1;
  const std::optional<int>& passed = preview.high.tap;
  const bool upwards = input.negative_end == StackEnd::last;
  int below = 0;
  const int slots = preview.blocks.back().slots.back();
  for (const TapPreview& tap : preview.taps) {
    if (tap.tap > 0) below = preview.blocks[static_cast<std::size_t>(tap.tap - 1)].slots.back();
    const bool over = passed && (upwards ? tap.tap <= *passed : tap.tap >= *passed);
    const std::string where = tap.tap == 0      ? "pack end, slot 1"
                              : tap.tap == last ? "pack end, slot " + std::to_string(slots)
                                                : "bar " + std::to_string(below);
    table.rows.push_back(
        {{std::to_string(tap.tap), where, fixed(tap.intended_v, 2), shown(input, tap.as_stacked_v),
          shown(tap.meter), over ? "over 60 V" : ""},
         false});
  }
  return {"Taps: what a meter must show from the negative end",
          false,
          {Paragraph{"Black lead on the pack's negative end. A meter and leads rated for the whole "
                     "pack's voltage; measuring block by block keeps the voltage in hand low."},
           table}};
}

Section bar_table(const Preview& preview) {
  Table table{{{"Bar", 0.6, Align::middle},
               {"Slots", 1},
               {"End", 2.4},
               {"Joins", 1},
               {"", 2},
               {"Done", 0.6, Align::middle}},
              {}};
  const auto sign = [](const std::optional<Sign>& s) {
    return std::string(!s ? "?" : *s == Sign::plus ? "+" : "−");
  };
  for (const BarPreview& bar : preview.bars) {
    const std::string end = bar.end == End::left ? preview.ends.left : preview.ends.right;
    table.rows.push_back(
        {{std::to_string(bar.bar), std::to_string(bar.bar) + " and " + std::to_string(bar.bar + 1),
          std::string(name_of(bar.end)) + " (" + end + ")",
          sign(bar.upper) + " to " + sign(bar.lower),
          bar.join == Join::like        ? "✗ like signs: do not fit"
          : bar.join == Join::not_known ? "not known: look first"
                                        : "",
          bar.join == Join::unlike ? "☐" : ""},
         false});
  }
  return {"Bus bars", true, {table}};
}

std::string certainty(const Explanation& one) {
  return one.against_signs ? "contradicts signs or numbers read from the photos" : "";
}

Section explanations(const Preview& preview) {
  const Diagnosis& diagnosis = preview.diagnosis;
  Section section{"What may explain the readings", false, {}};
  if (diagnosis.state == DiagnosisState::all_within) {
    section.pieces.push_back(Paragraph{
        "Every block that was measured reads what it must. A meter can't tell modules of like "
        "voltage from each other: their order is not shown by it."});
    return section;
  }
  section.pieces.push_back(Paragraph{
      diagnosis.state == DiagnosisState::explained
          ? "Each line alone accounts for all readings within tolerance; the best fit comes first, "
            "and none is proved. A module that has lost charge reads low too, by any amount: "
            "measure each module of the block by itself."
      : diagnosis.state == DiagnosisState::explained_by_block
          ? "No two faults account for all readings, so each block is looked at alone; for each "
            "the best fit comes first, and none is proved. A module that has lost charge reads low "
            "too, by any amount: measure each module by itself."
          : "Neither one nor two of the faults looked at (turned, shorted, open, swapped) account "
            "for the readings. Measure each module by itself."});
  Table table{{{"", 0.6}, {"May be", 5}, {"", 1.8}}, {}};
  const std::size_t many = std::min(kMostShown, diagnosis.explanations.size());
  for (std::size_t i = 0; i < many; ++i) {
    const Explanation& one = diagnosis.explanations[i];
    const int block = one.faults.front().block;
    const bool alone = diagnosis.state == DiagnosisState::explained_by_block;
    table.rows.push_back(
        {{alone ? "Block " + std::to_string(block) : std::to_string(i + 1), capital(words_of(one)),
          certainty(one)},
         alone && i > 0 && diagnosis.explanations[i - 1].faults.front().block != block});
  }
  if (many > 0) section.pieces.push_back(table);
  if (diagnosis.explanations.size() > many)
    section.pieces.push_back(Paragraph{"And " +
                                       std::to_string(diagnosis.explanations.size() - many) +
                                       " more, all of them in electrical.json."});
  if (diagnosis.cut_short)
    section.pieces.push_back(Paragraph{"There are more pairs of faults than could be looked at."});
  if (!diagnosis.unexplained_blocks.empty())
    section.pieces.push_back(
        Paragraph{"Not accounted for: " + listed("block", diagnosis.unexplained_blocks) + "."});
  return section;
}

std::string torque_line(const Pack& pack) {
  if (!pack.bus_nut_torque_nm)
    return "Bus bar nuts: the pack definition gives no torque; use the maker's.";
  return "Bus bar nuts tightened to " + fixed(*pack.bus_nut_torque_nm, 2) + " N·m (" +
         fixed(pound_force_inches(*pack.bus_nut_torque_nm), 1) + " lbf·in), each one ticked.";
}

Section check_list(const Pack& pack, const Preview& preview) {
  Table table{{{"", 0.3, Align::middle}, {"Check", 6}}, {}};
  const auto line = [&](const std::string& text) { table.rows.push_back({{"☐", text}, false}); };
  line("Every module's signs looked at before the first bar: as on the picture.");
  line("Bars fitted in the order of the table; no bar between like signs.");
  line(torque_line(pack));
  line("Each block measured; within what the meter must show.");
  line("The whole row measured with a meter rated for it: " + shown(preview.meter) + " V.");
  return {"After the bars", false, {table}};
}

Section assumptions(const Preview& preview) {
  Section section{"Assumptions", false, {}};
  for (const std::string& text : preview.assumptions) section.pieces.push_back(Paragraph{text});
  return section;
}

}  // namespace

std::vector<std::string> electrical_cautions(const Preview& preview) {
  const HighVoltage& high = preview.high;
  std::string volts = "Modules stay charged. Charged, this row stands at about " +
                      fixed(high.charged_pack_v, 0) + " V DC";
  volts += high.fewest_modules
               ? ": that kills. Any " + std::to_string(*high.fewest_modules) +
                     " neighbours joined by bars are over 60 V DC; from the negative end it is "
                     "passed with slot " +
                     std::to_string(*high.slot) + ", at tap " + std::to_string(*high.tap) + "."
               : "; joined to others it can kill.";
  std::vector<std::string> all{
      volts,
      "Work on it only if you are trained and licensed for it, with insulated tools and gloves "
      "rated for the voltage, without jewellery, and not alone.",
      "A bar across the wrong terminals makes a short circuit: burns, molten metal, fire. Cover "
      "what you don't work on.",
      "Local codes, licensed practice and the maker's instructions come first. This sheet is "
      "arithmetic with the assumptions at its end; it measures nothing and does not say that a "
      "module is safe."};
  if (preview.outcome != Outcome::as_intended)
    all.push_back("Fit no bus bar while anything on this sheet is to be fixed or not known.");

  return all;
}

std::string electrical_html(const Pack& pack, const ElectricalInput& input,
                            const Preview& preview) {
  Document document;
  document.title = "Electrical preview: " + pack.id;
  document.subtitle = pack.name + ". " + std::to_string(pack.modules) + " modules in " +
                      std::to_string(preview.blocks.size()) + " blocks.";
  document.footer =
      "plumbstack " PLUMBSTACK_VERSION ", " + pack.id + ". High voltage: qualified people only.";
  document.sections.push_back(
      {"", false, {Caution{"Caution: high voltage", electrical_cautions(preview)}}});
  document.sections.push_back(findings(input, preview));
  if (!input.readings.empty()) document.sections.push_back(explanations(preview));
  add_row(pack, input, preview, document);
  document.sections.push_back(block_table(input, preview));
  document.sections.push_back(tap_table(input, preview));
  document.sections.push_back(bar_table(preview));
  document.sections.push_back(check_list(pack, preview));
  document.sections.push_back(assumptions(preview));
  return document_html(document);
}

}  // namespace plumbstack
