#include "verdict_text.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace plumbstack {
namespace {

constexpr const char* kCaution =
    "Caution, high voltage. Qualified people only, with insulated tools and gloves: service plug\n"
    "out, wait for discharge, prove with a meter that no voltage is there. This check replaces\n"
    "neither the meter nor a second person.\n";

const char* headline(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "PASS    everything that had to be seen was seen and is right";
    case Verdict::fix: return "FIX     something is wrong in the stack";
    case Verdict::retake: return "RETAKE  the photos don't show enough to say";
  }
  return "";
}

std::string side_lines(const Check& check) {
  std::string text;
  for (std::size_t i = 0; i < check.photos.size(); ++i) {
    const CheckedPhoto& photo = check.photos[i];
    const Verdict own = i < check.judgement.side_verdicts.size() ? check.judgement.side_verdicts[i]
                                                                 : Verdict::retake;
    text += fmt::format("  {:<12} {:<7} {}\n", photo.side, name_of(own), photo.photo.file);
  }
  for (const std::string& side : check.judgement.missing_sides)
    text += fmt::format("  {:<12} {:<7} no photo of this side\n", side, "retake");
  return text;
}

// Worst first; the order within a severity is the judge's.
std::string finding_lines(const Judgement& judgement) {
  std::vector<Finding> findings = judgement.findings;
  std::stable_sort(findings.begin(), findings.end(), [](const Finding& a, const Finding& b) {
    return static_cast<int>(a.severity) > static_cast<int>(b.severity);
  });
  std::string text;
  for (const Finding& f : findings) {
    text += fmt::format("  [{}] {}{}\n", name_of(f.severity), f.side.empty() ? "" : f.side + ": ",
                        f.message);
    if (!f.action.empty()) text += fmt::format("      -> {}\n", f.action);
  }
  return text;
}

std::string repair_lines(const Judgement& judgement) {
  std::string text;
  for (std::size_t i = 0; i < judgement.repair.size(); ++i)
    text += fmt::format("  {}. {}\n", i + 1, judgement.repair[i].text);
  return text;
}

std::string file_lines(const Check& check, const std::filesystem::path& out) {
  std::string text;
  for (const CheckedPhoto& photo : check.photos) {
    const std::string stem = std::filesystem::path(photo.photo.file).stem().string();
    text += fmt::format("  {}\n", (out / (stem + ".annotated.jpg")).string());
  }
  return text + fmt::format("  {}\n  {}\n", (out / "report.html").string(),
                            (out / "result.json").string());
}

std::string block(const std::string& title, const std::string& lines) {
  return lines.empty() ? "" : title + "\n" + lines + "\n";
}

}  // namespace

std::string verdict_text(const Pack& pack, const Check& check, const std::filesystem::path& out) {
  return fmt::format("{}\n\n", headline(check.judgement.verdict)) +
         block(fmt::format("{}, {} modules", pack.id, pack.modules), side_lines(check)) +
         block("What was found", finding_lines(check.judgement)) +
         block("Fewest moves that put it right, in this order", repair_lines(check.judgement)) +
         block("Note", check.note.empty() ? "" : "  " + check.note + "\n") +
         block("Pictures and report", file_lines(check, out)) + kCaution;
}

}  // namespace plumbstack
