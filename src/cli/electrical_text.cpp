#include "electrical_text.hpp"

#include <fmt/format.h>

#include "plumbstack/electrical_record.hpp"

namespace plumbstack {
namespace {

constexpr std::size_t kMostShown = 8;  // explanations; the page and the document have more
constexpr const char* kCaution =
    "Caution, high voltage. Qualified people only, with insulated tools and gloves. Local codes "
    "and\n"
    "licensed practice come first. This is arithmetic: prove with a meter what each tap reads.\n";

const char* headline(const Preview& preview) {
  switch (preview.outcome) {
    case Outcome::as_intended: return "nothing wrong in what is known";
    case Outcome::fix: return "to fix";
    case Outcome::not_known: return "not enough is known";
  }
  return "";
}

std::string advice_lines(const Preview& preview) {
  std::string text;
  for (const Advice& advice : preview.advice)
    text += fmt::format("  {}\n    -> {}\n", advice.message, advice.action);
  return text;
}

std::string explanation_lines(const Diagnosis& diagnosis) {
  if (diagnosis.state == DiagnosisState::no_readings ||
      diagnosis.state == DiagnosisState::all_within)
    return "";
  std::string text = "\nWhat may explain the readings (none is proved)\n";
  const auto& all = diagnosis.explanations;
  for (std::size_t i = 0; i < all.size() && i < kMostShown; ++i)
    text += fmt::format("  {}{}{}\n",
                        diagnosis.state == DiagnosisState::explained_by_block
                            ? fmt::format("block {}: ", all[i].faults.front().block)
                            : "",
                        words_of(all[i]),
                        all[i].against_signs ? " (contradicts what the photos show)" : "");
  if (all.size() > kMostShown)
    text += fmt::format("  and {} more, in electrical.json\n", all.size() - kMostShown);
  if (!diagnosis.unexplained_blocks.empty() && !all.empty())
    text += "  not every block is accounted for; see electrical.html\n";
  if (all.empty()) text += "  neither one nor two of the faults looked at\n";
  return text;
}

std::string row_lines(const ElectricalInput& input, const Preview& preview) {
  std::string text =
      fmt::format("\nThe row\n  {:.2f} V as intended, a meter must show {:.2f} to {:.2f} V\n",
                  preview.intended_v, preview.meter.low, preview.meter.high);
  if (!input.signs_seen)
    text += "  signs are taken as planned, not from photos\n";
  else if (preview.as_stacked_v)
    text += fmt::format("  {:.2f} V as stacked\n", *preview.as_stacked_v);
  else
    text += fmt::format("  as stacked not known, between {:.2f} and {:.2f} V\n",
                        preview.as_stacked.low, preview.as_stacked.high);
  if (preview.high.slot)
    text += fmt::format("  charged, 60 V DC is passed with slot {} from the negative end\n",
                        *preview.high.slot);
  return text;
}

}  // namespace

std::string electrical_text(const Pack& pack, const ElectricalInput& input, const Preview& preview,
                            const std::filesystem::path& out) {
  return fmt::format("{}: {}\n", pack.id, headline(preview)) + advice_lines(preview) +
         explanation_lines(preview.diagnosis) + row_lines(input, preview) +
         fmt::format("\nElectrical preview\n  {}\n  {}\n", (out / "electrical.html").string(),
                     (out / "electrical.json").string()) +
         kCaution;
}

}  // namespace plumbstack
