// The report in the order in which it is needed: verdict, cautions, what to do, then the evidence.
#include "plumbstack/record.hpp"
#include "report_parts.hpp"

namespace plumbstack {
namespace {

std::string word_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "PASS";
    case Verdict::fix: return "FIX";
    case Verdict::retake: return "RETAKE";
  }
  return "RETAKE";
}

std::string meaning_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::pass: return "Everything these photos had to show was seen and is right.";
    case Verdict::fix: return "Something in the stack is wrong. Put it right, then check it again.";
    case Verdict::retake: return "The photos don't show enough to say. This is not a pass.";
  }
  return "";
}

// Messages come with or without a full stop.
std::string as_sentence(const std::string& text) {
  if (text.empty()) return "";
  const bool ends = text.back() == '.' || text.back() == '!' || text.back() == '?';
  return escaped(sentence(text)) + (ends ? "" : ".");
}

std::string verdict_block(const Check& check) {
  const Verdict verdict = check.judgement.verdict;
  std::string html = "<div class=\"verdict " + std::string(name_of(verdict)) + "\">" +
                     verdict_icon(verdict) + "<div><b>" + word_of(verdict) + "</b><p>" +
                     meaning_of(verdict) + "</p></div></div><ul class=\"sides\">";
  for (std::size_t i = 0; i < check.photos.size(); ++i)
    html += "<li>" + verdict_icon(check.judgement.side_verdicts[i]) + "<span>" +
            escaped(check.photos[i].side) + ": <b>" + word_of(check.judgement.side_verdicts[i]) +
            "</b></span></li>";
  for (const std::string& side : check.judgement.missing_sides)
    html += "<li>" + verdict_icon(Verdict::retake) + "<span>" + escaped(side) +
            ": <b>no photo</b></span></li>";
  return html + "</ul>";
}

std::string voltage_caution(const Pack& pack) {
  constexpr double kHighV = 60;  // DC, above it: high voltage (UN ECE R100)
  if (!pack.electrical)
    return "A stack like this holds a voltage that kills, also out of the vehicle.";
  const double charged_v =
      pack.modules * pack.electrical->cells_per_module * pack.electrical->charged_v_per_cell;
  const std::string stands =
      "Charged, this stack can stand at about " + fixed(charged_v, 0) + " V DC. ";
  if (charged_v > kHighV) return stands + "That kills, also out of the vehicle.";
  return stands +
         "A tool or a ring across its terminals still burns and throws molten metal, and joined to "
         "others it is part of a voltage that kills.";
}

std::string cautions(const Pack& pack) {
  const std::string volts = voltage_caution(pack);
  return "<div class=\"caution\"><b>&#9888;&#65038; Caution: high voltage</b><ul><li>" + volts +
         "</li><li>Work on it only if you are trained and licensed for it, with insulated tools "
         "and gloves, and not alone.</li><li>Service plug out, wait for discharge, prove with a "
         "meter that no voltage is there.</li><li>Local codes and the maker's instructions come "
         "first. This check replaces neither the meter nor a second person; it says nothing of "
         "the modules' health.</li></ul></div>";
}

std::string finding_item(const Finding& f) {
  const Standing standing = f.severity == Severity::fix      ? Standing::wrong
                            : f.severity == Severity::retake ? Standing::unsure
                                                             : Standing::note;
  std::string about = f.code;
  if (!f.side.empty()) about += ", side " + f.side;
  return "<li>" + standing_icon(standing) + "<div><p>" + as_sentence(f.message) +
         (f.action.empty() ? "" : "</p><p class=\"do\">" + as_sentence(f.action)) + "</p><small>" +
         escaped(about) + "</small></div></li>";
}

std::string findings_of(const Judgement& judgement, Severity severity, const char* heading) {
  std::string items;
  for (const Finding& f : judgement.findings)
    if (f.severity == severity) items += finding_item(f);
  if (severity == Severity::retake)
    for (const std::string& side : judgement.missing_sides)
      items += "<li>" + standing_icon(Standing::unsure) + "<div><p>No photo of side " +
               escaped(side) + ".</p><p class=\"do\">Photograph side " + escaped(side) +
               ", the whole of it, straight on.</p></div></li>";
  if (items.empty()) return "";
  return std::string("<h3>") + heading + "</h3><ul class=\"found\">" + items + "</ul>";
}

std::string what_to_do(const Judgement& judgement) {
  std::string html = "<h2>What to do</h2>";
  if (!judgement.repair.empty()) {
    html += "<h3>Fewest moves that put it right, in this order</h3><ol class=\"steps\">";
    for (const RepairStep& step : judgement.repair)
      html += "<li><span>" + as_sentence(step.text) + "</span></li>";
    html += "</ol>";
  }
  const std::string found = findings_of(judgement, Severity::fix, "Wrong") +
                            findings_of(judgement, Severity::retake, "Not seen well enough") +
                            findings_of(judgement, Severity::note, "To know");
  if (found.empty() && judgement.repair.empty()) html += "<p>Nothing: no fault was found.</p>";
  return html + found;
}

std::string side_section(const Pack& pack, const Check& check, std::size_t i,
                         const std::vector<cv::Mat>& annotated) {
  const CheckedPhoto& photo = check.photos[i];
  std::string html = "<section class=\"side\"><h2>Side " + escaped(photo.side) + ": " +
                     word_of(check.judgement.side_verdicts[i]) + "</h2>";
  if (i < annotated.size())
    html += "<figure>" + inline_picture(annotated[i], "Annotated photo of side " + photo.side) +
            "</figure>";
  const std::string ladder = ladder_svg(pack, check, i);
  if (ladder.empty()) return html + "</section>";
  return html +
         "<h3>As planned and as seen</h3><p class=\"key\">Slot 1 on top. Disc: vent. Ring: sign. "
         "Arrow: where the number's top points. Crossed diamond and thick outline: wrong. "
         "Question mark and dashed outline: not sure.</p>" +
         "<div class=\"wide\">" + ladder + "</div><h3>Slot by slot</h3>" +
         slot_table(pack, check, i) + "</section>";
}

}  // namespace

std::string report_html(const Pack& pack, const Check& check,
                        const std::vector<cv::Mat>& annotated) {
  const std::string title = word_of(check.judgement.verdict) + ": " + pack.id;
  std::string html =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width,initial-scale=1\"><title>" +
      escaped(title) + "</title><style>" + kReportStyle + "</style></head><body><h1><span>" +
      escaped(pack.name) + "</span><span>" + escaped(pack.id) + ", " +
      std::to_string(pack.modules) + " modules</span></h1>";
  html += verdict_block(check) + cautions(pack) + what_to_do(check.judgement);
  for (std::size_t i = 0; i < check.photos.size(); ++i)
    html += side_section(pack, check, i, annotated);
  html += "<section><h2>Photos</h2>" + photo_table(check) + "</section>";
  html += "<footer>plumbstack " PLUMBSTACK_VERSION
          ". A reading counts as known from a confidence of " +
          fixed(100 * check.trust_bar.number, 1) + "&nbsp;% (number), " +
          fixed(100 * check.trust_bar.vent, 1) + "&nbsp;% (vent), " +
          fixed(100 * check.trust_bar.sign, 1) +
          "&nbsp;% (sign). One that contradicts the pack definition is a fault from " +
          fixed(100 * check.trust_bar.number_fault, 1) + "&nbsp;% (number), " +
          fixed(100 * check.trust_bar.sign_fault, 1) +
          "&nbsp;% (sign); under that it is to be looked at again. Readings are never "
          "corrected to what "
          "was expected.</footer>";
  return html + "</body></html>\n";
}

}  // namespace plumbstack
